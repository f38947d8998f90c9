"""The record as a page: what it holds, how a real browser prints it, and that it can do no harm."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from html.parser import HTMLParser
from pathlib import Path

import pytest

from assistant.adapters.paper.record_page import RecordPage, record_page
from assistant.adapters.register.sqlite import SqliteRegister
from assistant.commands.reporting import chosen_text
from assistant.conversation.entries import CorrectionEntry, DoseEnd, DoseEndEntry
from assistant.dosing.for_record import NOT_EATEN
from assistant.records.treatment import Rules, Treatment
from assistant.records.wanted import Wanted
from tests.paper import print_page, said_by
from tests.records_scene import START, write_season
from tests.talk_scene import demo_holding

NASTY = "<script>document.title = 1</script><img src=x onerror=alert(1)>"


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> RecordPage:
    """Give all that the page of a season is made from, read from a real register."""
    with SqliteRegister(tmp_path_factory.mktemp("season") / "register.sqlite") as register:
        write_season(register)
        at = START + timedelta(minutes=40)
        register.append(
            [
                CorrectionEntry(at, "round-1", "round-1-1", "grams", "92", "93", "misread"),
                DoseEndEntry(at, "round-1", "round-1-2", DoseEnd.SCRATCHED, "wrong bird"),
            ]
        )
        some = tuple(register.treatments(Wanted()))
        return RecordPage(
            some, chosen_text(Wanted(), some), START, "Demo Vet (invented)",
            demo_holding().aviary.species_list, register.books(),
        )  # fmt: skip


@pytest.fixture(scope="module")
def printed(season: RecordPage, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the page as a browser prints it."""
    folder = tmp_path_factory.mktemp("printed")
    return print_page(record_page(season), folder, "record")


def test_a_browser_prints_every_bird_and_every_fact(printed: Path):
    text = " ".join(said_by("pdftotext", printed, "-").split())
    for fact in (
        *("Treatment record", "Demo Aviary, 1 Invented Lane", "Demo Keeper", "Demo Vet"),
        *("1 March 2026, 08:30", "15 March 2026", "29 March 2026", "demosol (invented)"),
        *("LOT 0", "30 June 2027", "into the crop", "roundworm (invented)", "not stated"),
        *("not to be eaten up to and including 8 March 2026 (7 days)", "0.48 mL", "3 doses in all"),
        *("Pepper", "<b>Jack</b> & Jill", "A species of my own", "counts as full"),
        *("scratched: wrong bird", "weight put right: 92 g to 93 g", "Signed"),
        *("Demo medicine, never for a real bird.", "At a glance", "batch 1"),
    ):
        assert fact in text, fact


def test_it_is_printed_on_a4_in_black_and_white(printed: Path):
    assert " pts (A4)" in said_by("pdfinfo", printed)
    stem = printed.with_suffix("")
    said_by("pdftoppm", "-r", "30", printed, stem)
    for sheet in sorted(printed.parent.glob("record-*.ppm")):
        _, size, _, dots = sheet.read_bytes().split(b"\n", 3)
        assert len(dots) == 3 * int(size.split()[0]) * int(size.split()[1])
        assert all(max(d) - min(d) < 3 for d in {dots[i : i + 3] for i in range(0, len(dots), 3)})
        assert min(dots) < 100, "an empty sheet"


def test_no_word_is_smaller_than_weak_eyes_can_read(printed: Path):
    # common practice, no source: print for weak eyes is set in 12 points at least; the box of a
    # word of this face is 1.16 times as high as its size
    box = said_by("pdftotext", "-bbox", printed, "-")
    heights = [
        float(line.split('yMax="')[1].split('"')[0]) - float(line.split('yMin="')[1].split('"')[0])
        for line in box.splitlines()
        if "<word " in line
    ]
    assert len(heights) > 300
    assert min(heights) >= 11.8


class Elements(HTMLParser):
    """All elements of a page with their attributes."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep the element."""
        self.found.append((tag, dict(attrs)))


Change = Callable[[Treatment], Treatment]


@pytest.mark.parametrize(
    "change",
    [
        lambda one: replace(one, patient=replace(one.patient, bird=NASTY)),
        lambda one: replace(one, patient=replace(one.patient, species=NASTY)),
        lambda one: replace(one, patient=replace(one.patient, cage=NASTY, ring=NASTY, sex=NASTY)),
        lambda one: replace(one, product=replace(one.product, name=NASTY, active=NASTY)),
        lambda one: replace(one, product=replace(one.product, batch=NASTY, strength=NASTY)),
        lambda one: replace(one, keeper=NASTY, holding=NASTY, reason=NASTY, route=NASTY),
        lambda one: replace(one, note=NASTY, prescriber=NASTY),
    ],
)
def test_no_words_of_others_become_a_script_or_an_element(season: RecordPage, change: Change):
    nasty = replace(season, treatments=tuple(map(change, season.treatments)), chosen=NASTY)
    before, after = Elements(record_page(season)), Elements(record_page(nasty))
    # birds that all have one name may have a list of what that bird lost
    assert {name for name, _ in after.found} <= {"ul", "li", *(name for name, _ in before.found)}
    assert not any(name in {"script", "img", "link", "iframe"} for name, _ in after.found)
    assert not any(key.startswith("on") for _, keys in after.found for key in keys)


def test_the_page_takes_nothing_from_elsewhere(season: RecordPage):
    text = record_page(season)
    policies = [keys.get("content") or "" for name, keys in Elements(text).found if name == "meta"]
    assert any(policy.startswith("default-src 'none'") for policy in policies)
    assert "http" not in text.replace("http-equiv", "")
    keys = {key for _, attributes in Elements(text).found for key in attributes}
    assert keys.isdisjoint({"src", "href", "action", "data", "poster"})


def page_of(season: RecordPage, **changes: object) -> str:
    one = replace(season.treatments[0], **changes)  # type: ignore[arg-type]  # each test names a fact
    return record_page(replace(season, treatments=(one,), books=()))


def test_an_unknown_period_says_who_must_not_eat_and_zero_days_say_none(season: RecordPage):
    assert f"withdrawal period not known. {NOT_EATEN}" in page_of(season, rules=Rules())
    assert "no withdrawal period (0 days)" in page_of(season, rules=Rules(egg_days=0, meat_days=0))


def test_one_unknown_period_among_known_ones_is_told(season: RecordPage):
    first, second = season.treatments[0], replace(season.treatments[0], rules=Rules(egg_days=7))
    assert NOT_EATEN in record_page(replace(season, treatments=(first, second)))


def test_a_dose_that_was_not_given_bars_nothing_and_is_struck_out(season: RecordPage):
    text = page_of(season, end=DoseEnd.NOT_GIVEN)
    assert "nothing was given" in text
    assert '<tr class="void">' in text
    assert '<tr class="void">' not in page_of(season)


def test_each_bird_has_its_lot_where_a_round_had_several(season: RecordPage):
    first, second = season.treatments[0], season.treatments[0]
    two = [
        replace(one, product=replace(one.product, batch=lot, stock_batch=pot), end=DoseEnd.GIVEN)
        for one, lot, pot in ((first, "LOT 7", "pot 1"), (second, "LOT 8", "pot 2"))
    ]
    text = record_page(replace(season, treatments=two))
    assert ", from LOT 7, pot 1" in text
    assert ", from LOT 8, pot 2" in text
    assert ", from LOT" not in record_page(replace(season, treatments=two[:1]))


def test_a_dose_that_a_note_refers_to_is_called_by_its_time(season: RecordPage):
    first, second = season.treatments[0], season.treatments[1]
    swapped = replace(second, note=f"in place of {first.dose_id}")
    text = record_page(replace(season, treatments=(first, swapped)))
    assert "in place of the dose of 08:30" in text
    assert first.dose_id not in text


def test_a_weight_outside_the_range_is_a_cross_and_one_inside_a_ring(season: RecordPage):
    patient = season.treatments[0].patient
    inside = page_of(season, patient=replace(patient, grams=Decimal(95)))
    outside = page_of(season, patient=replace(patient, grams=Decimal(60)))
    assert (inside.count("<circle cx="), outside.count("<circle cx=")) == (1, 0)
    assert ("l12 12" in inside, "l12 12" in outside) == (False, True)


def test_a_bird_that_lost_weight_fast_is_named_and_one_alone_is_drawn(season: RecordPage):
    first = season.treatments[0]
    patient = replace(first.patient, bird="Pepper", ring=None, grams=Decimal(100))
    before = replace(first, patient=patient, end=DoseEnd.GIVEN)
    lighter = replace(patient, grams=Decimal(85))
    now = replace(before, patient=lighter, said_at=first.said_at + timedelta(days=10))
    text = record_page(replace(season, treatments=(before, now)))
    assert "Weight lost fast" in text
    assert "15 % in 10 days. Ask your vet." in text
    assert "Pepper: weight over time" in text
    assert "Weight lost fast" not in record_page(replace(season, treatments=(before,)))


def test_a_record_without_treatments_says_so_and_has_no_pictures(season: RecordPage):
    text = record_page(replace(season, treatments=(), books=(), asked=()))
    assert "No treatment." in text
    assert "At a glance" not in text
