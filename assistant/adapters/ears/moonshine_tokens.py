"""The small speech model's alphabet: about 32,000 pieces of text, read from its own file.

The file holds one piece after another, each behind its length: one byte, or two where the first
is 128 or more (then the length is the second times 128, plus the first, minus 128).  A piece's
number is its place in the file, and "▁" stands for a space.  Text is cut up by merging the pair
whose joint piece has the lowest number, again and again: the byte-pair encoding of Sennrich,
Haddow and Birch 2016 (ACL, P16-1162), in the order of SentencePiece's models.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

START = 1
END = 2
SPACE = "▁"

_FIRST_BYTE = 3
_AFTER_BYTES = 259


class Alphabet:
    """Pieces of text and their numbers; raises ValueError when the file is not such an alphabet."""

    def __init__(self, content: bytes) -> None:
        self._pieces = tuple(_pieces(content))
        # the pieces of one byte each only serve where no other piece fits
        self._numbers = {
            piece: number
            for number, piece in enumerate(self._pieces)
            if not _FIRST_BYTE <= number < _AFTER_BYTES
        }

    def __len__(self) -> int:
        """How many pieces there are."""
        return len(self._pieces)

    def piece(self, number: int) -> str:
        """The text of a piece, its space as "▁"."""
        return self._pieces[number].decode("utf-8", "replace")

    def number(self, piece: str) -> int | None:
        """The number of a piece, or None."""
        return self._numbers.get(piece.encode())

    def cut(self, text: str, *, joined: bool = False) -> tuple[int, ...]:
        """The text as the model writes it, with a space before it unless it is `joined`."""
        spaced = text.replace(" ", SPACE)
        parts = list(spaced if joined else SPACE + spaced)
        while (at := self._lowest_pair(parts)) is not None:
            parts[at : at + 2] = ["".join(parts[at : at + 2])]
        return tuple(number for part in parts for number in self._numbered(part))

    def text(self, numbers: Sequence[int]) -> str:
        """The pieces put together as plain text."""
        joined = b"".join(self._pieces[number] for number in numbers if number > END)
        return joined.decode("utf-8", "replace").replace(SPACE, " ").strip()

    def _lowest_pair(self, parts: list[str]) -> int | None:
        pairs = ((self.number(parts[at] + parts[at + 1]), at) for at in range(len(parts) - 1))
        return min((pair for pair in pairs if pair[0] is not None), default=(None, None))[1]

    def _numbered(self, part: str) -> Iterator[int]:
        number = self.number(part)
        if number is not None:
            yield number
        else:
            yield from (_FIRST_BYTE + byte for byte in part.encode())


def _pieces(content: bytes) -> Iterator[bytes]:
    at = 0
    while at < len(content):
        length = content[at]
        at += 1
        if length >= 128:  # noqa: PLR2004 - the file's own mark, explained above
            length += 128 * content[at] - 128
            at += 1
        if at + length > len(content):
            raise ValueError("the alphabet ends in the middle of a piece")
        yield content[at : at + length]
        at += length
