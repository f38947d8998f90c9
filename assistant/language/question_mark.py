"""What was typed with a question mark asks: it ends no dose and fills no needle.

"Given?" is a keeper who wonders, and "needle is full?" one who does not know.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.language.expected import TAGS, Saying
from assistant.language.requests import Plain, Request

_ASKED: Mapping[str, str] = {
    **dict.fromkeys(TAGS[Saying.END] - {"wrong_bird", "other_bird"}, "unclear"),
    **dict.fromkeys(("needle_new", "needle_rinsed", "needle_full"), "needle_which"),
}
"""The tags of what changes something, each with that of what it is as a question."""


def as_meant(request: Request, text: str) -> Request:
    """The request, or the question that it is where the text ends with a question mark."""
    if isinstance(request, Plain) and request.kind in _ASKED and text.rstrip().endswith("?"):
        return Plain(_ASKED[request.kind])
    return request
