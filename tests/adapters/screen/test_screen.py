"""The screen in a terminal emulator: what stands in its cells, and which bytes brought it there."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pyte
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.screen.canvas import Canvas
from assistant.adapters.screen.layout import Look, Signs, lay_out
from assistant.adapters.screen.look import after, waiting
from assistant.adapters.screen.paint import Painter
from assistant.adapters.sharing.wire import Level, Over, Told
from assistant.conversation.emergency import EMERGENCY
from assistant.conversation.glance import Glance, OpenDose
from assistant.dosing.quantities import decimal_text
from tests.adapters.screen.segment_reading import read_digits

SMALL, USUAL, LARGE = (40, 15), (80, 24), (132, 43)
SIZES = pytest.mark.parametrize("size", [SMALL, USUAL, LARGE])
FULL_CLEAR = re.compile(r"\x1b\[[0-3]?[JK]")
DOSE = OpenDose(
    who="Pepper, Cockatiel",
    weight="95 grams",
    volume_ml=Decimal("0.47"),
    draw_to_ml=Decimal("0.68"),
    syringe_ml=Decimal(1),
    needle="dry needle",
    fictional=True,
)
LOOK = Look(
    Glance("Marigold Demo, 1 in 10", "12 given", DOSE),
    heard="pepper ninety five grams",
    phase="listening",
    level_db=-30.0,
    noise_db=-50.0,
)
GIVEN = Glance("Marigold Demo, 1 in 10", "13 given")


class Terminal:
    """A terminal in memory, the painter on it, and the bytes since the last look."""

    def __init__(self, size: tuple[int, int], *, colours: bool = True) -> None:
        self.size = size
        self.cells = pyte.Screen(*size)
        self.bytes = ""
        stream = pyte.Stream(self.cells)

        def write(text: str) -> None:
            self.bytes += text
            stream.feed(text)

        self.painter = Painter(write, colours=colours)

    def show(self, look: Look, signs: Signs = Signs()) -> list[str]:  # noqa: B008 - a frozen record
        """Paint a look; the rows of the terminal come back."""
        self.bytes = ""
        self.painter.paint(lay_out(look, *self.size, signs))
        return list(self.cells.display)


def turn(said: str, glance: Glance, *, silent: bool = False) -> Told:
    return Told("voice", "words", "command", silent, said, said, "", "{}", glance, 1)


def dosed(volume: str, **facts: object) -> Look:
    dose = replace(DOSE, volume_ml=Decimal(volume), draw_to_ml=Decimal(volume), **facts)  # type: ignore[arg-type]  # each test names a field
    return replace(LOOK, glance=replace(LOOK.glance, open=dose))


@SIZES
@pytest.mark.parametrize("blocks", [True, False])
@given(thousandths=st.integers(1, 20000))
def test_any_volume_can_be_read_off_the_cells(
    size: tuple[int, int], thousandths: int, *, blocks: bool
):
    # of a 20 mL syringe no mark has more than two places, of a 1 mL syringe none more than three
    places = 2 if thousandths >= 1000 else 3
    volume = decimal_text(round(Decimal(thousandths) / 1000, places))
    look = dosed(volume, syringe_ml=Decimal(20))
    assert read_digits(Terminal(size).show(look, Signs(blocks=blocks))) == volume


@SIZES
def test_the_dose_stands_with_all_that_belongs_to_it(size: tuple[int, int]):
    rows = Terminal(size).show(LOOK)
    text = "\n".join(rows)
    for part in (
        "LISTENING", "12 given", "Pepper, Cockatiel, 95 grams", " mL", "first 0.68",
        "1 mL syringe", "Dry needle: draw to 0.68, push to 0.47.", "“pepper ninety five grams”",
        "Demo medicine, never for a real bird.",
    ):  # fmt: skip
        assert part in text, part


@SIZES
def test_the_plunger_stands_at_the_dose_and_the_mark_at_what_is_drawn_first(size: tuple[int, int]):
    rows = Terminal(size).show(LOOK)
    barrel = next(row for row in rows if "──┤" in row)
    marks = rows[rows.index(barrel) - 1]
    start, end = barrel.index("┤") + 1, barrel.index("├") - 1
    for column, volume in ((barrel.index("┃"), 0.47), (marks.index("▼"), 0.68)):
        assert abs((column - start) / (end - start) - volume) <= 0.5 / (end - start)


@SIZES
def test_between_frames_nothing_is_cleared_and_little_is_written(size: tuple[int, int]):
    terminal = Terminal(size)
    terminal.show(LOOK)
    first = len(terminal.bytes)
    for level in range(-60, -10, 5):
        terminal.show(replace(LOOK, level_db=float(level)))
        assert not FULL_CLEAR.search(terminal.bytes)
        assert 0 < len(terminal.bytes) < first / 4
    terminal.show(replace(LOOK, level_db=-15.0))
    assert terminal.bytes == "", "nothing changed"


def test_what_is_painted_step_by_step_is_what_is_painted_at_once():
    looks = [
        LOOK,
        dosed("0.98"),
        waiting(),
        replace(LOOK, heard="björn 鳥 95"),
        Look(GIVEN, said="x"),
    ]
    terminal = Terminal(USUAL)
    for look in [*looks, *reversed(looks)]:
        assert terminal.show(look) == Terminal(USUAL).show(look)


def test_a_window_of_another_size_is_drawn_anew():
    terminal = Terminal(USUAL)
    terminal.show(LOOK)
    terminal.cells.resize(SMALL[1], SMALL[0])
    terminal.size = SMALL
    assert terminal.show(LOOK) == Terminal(SMALL).show(LOOK)


@pytest.mark.parametrize("size", [(39, 15), (40, 14), (1, 1)])
def test_too_small_a_window_shows_no_part_of_a_dose(size: tuple[int, int]):
    text = " ".join(Terminal(size).show(LOOK))
    assert "0.47" not in text
    assert "█" not in text


def test_without_colour_the_same_cells_have_no_colour():
    plain, coloured = Terminal(USUAL, colours=False), Terminal(USUAL)
    assert plain.show(LOOK) == coloured.show(LOOK)
    assert {cell.fg for row in plain.cells.buffer.values() for cell in row.values()} == {"default"}
    assert "green" in {cell.fg for row in coloured.cells.buffer.values() for cell in row.values()}


def test_a_dose_goes_with_its_end_and_with_the_round():
    for message in (turn("Given: Pepper.", GIVEN), turn("", GIVEN, silent=True), Over("Goodbye.")):
        rows = Terminal(USUAL).show(after(LOOK, message))
        assert "█" not in "".join(rows[1:-1]).replace("─", "")
        assert "0.47" not in "".join(rows)


def test_an_emergency_stands_alone():
    rows = Terminal(SMALL).show(after(LOOK, turn(EMERGENCY, LOOK.glance)))
    text = " ".join(" ".join(rows).split())
    assert text == EMERGENCY


def test_a_warning_stays_as_long_as_its_dose():
    said = "Pepper. 0.47 mL. Warning: the register cannot be written. Write it on paper."
    warned = after(replace(LOOK, glance=GIVEN), turn(said, LOOK.glance))
    assert "Warning: the register cannot be written" in "\n".join(Terminal(USUAL).show(warned))
    helped = after(warned, turn("Say a bird.", LOOK.glance))
    assert "Warning" in helped.warning
    assert after(helped, turn("Given.", GIVEN)).warning == ""


def test_a_syringe_too_small_for_the_needle_shows_no_volume_in_large():
    dose = replace(DOSE, draw_to_ml=None)
    rows = Terminal(USUAL).show(replace(LOOK, glance=replace(LOOK.glance, open=dose)))
    assert "Do not draw it as it stands" in "".join(rows)
    assert "█" not in "".join(rows[:-1])


def test_the_meter_is_light_up_to_the_noise_and_dark_above_it():
    row = Terminal(USUAL).show(after(LOOK, Level("hearing", -20.0, -55.0)))[-1]
    assert re.fullmatch(r" Sound ░+█+·+ ?", row)
    quiet = Terminal(USUAL).show(after(LOOK, Level("hearing", -60.0, -55.0)))[-1]
    assert "█" not in quiet


def test_no_word_that_was_heard_can_steer_the_terminal():
    terminal = Terminal(USUAL)
    terminal.show(replace(LOOK, heard="\x1b[2Jgiven\x1b]0;x\x07"))
    assert not FULL_CLEAR.search(terminal.bytes.split("\x1b[2J", 1)[1])
    canvas = Canvas(20, 1)
    canvas.put(0, 0, "\x1b[2J")
    assert canvas.frame().text == "·[2J"


def test_the_terminal_is_given_back_as_it_was():
    terminal = Terminal(USUAL)
    terminal.show(LOOK)
    terminal.bytes = ""
    terminal.painter.leave()
    for code in ("\x1b[?25h", "\x1b[?7h", "\x1b[?1049l"):
        assert code in terminal.bytes
