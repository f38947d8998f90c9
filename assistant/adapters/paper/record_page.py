"""The record of treatments as a page to print: facts first, pictures after, all of it readable.

Twelve points at least, black on white, nothing that only colour tells.  What nobody stated is shown
as missing; what was scratched is struck out and stays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from itertools import groupby
from typing import Final

from assistant.adapters.paper import plots
from assistant.adapters.paper.pages import Content, Markup, joined, page, tag
from assistant.adapters.paper.treatment_sheet import next_window
from assistant.dosing.dose_end import DoseEnd
from assistant.dosing.for_record import NOT_EATEN
from assistant.dosing.quantities import decimal_text, rounded_text
from assistant.dosing.species import Species
from assistant.records.due_sentences import day_text
from assistant.records.glance import (
    ENDS,
    BirdWeights,
    Tally,
    doses_over_time,
    weights_by_bird,
    weights_by_species,
)
from assistant.records.treatment import Treatment
from assistant.records.weights import Loss
from assistant.stock.books import Book
from assistant.stock.moves import MoveKind

ASKED: Final = ("answered with a dose", "asked or refused")
"""The kinds in the picture of how often it had to ask."""

_FICTIONAL: Final = "Demo medicine, never for a real bird."
_KEEP: Final = (
    "Keepers of animals whose eggs or meat are eaten have to keep such a record for five years: "
    "Regulation (EU) 2019/6, article 108 (5); in the UK the Veterinary Medicines Regulations 2013, "
    "regulation 19. Ask what holds where you live."
)
_ENDS: Final[dict[DoseEnd | None, str]] = {
    DoseEnd.GIVEN: "given",
    DoseEnd.PART_GIVEN: "part given, counts as full",
    DoseEnd.NOT_KNOWN: "not known, counts as full",
    DoseEnd.NOT_GIVEN: "not given",
    DoseEnd.SCRATCHED: "scratched",
    None: "no end was said",
}
_POT: Final = {
    "given": (MoveKind.GIVEN,),
    "kept in needles, pushed out": (MoveKind.KEPT, MoveKind.SURPLUS),
    "left": (),
    "lost, spilled, thrown away": (MoveKind.LOST, MoveKind.SPILLED, MoveKind.THROWN),
}
_STYLE: Final = """
@page { size: A4; margin: 14mm }
body { font: 12pt/1.4 "DejaVu Sans", Verdana, Arial, sans-serif; color: #000; background: #fff;
  max-width: 182mm; margin: 0 auto; padding: 4mm }
h1 { font-size: 20pt; margin: 0 0 2mm } h2 { font-size: 15pt; margin: 8mm 0 2mm }
h3 { font-size: 13pt; margin: 5mm 0 1mm } h2, h3 { break-after: avoid }
dl { display: grid; grid-template-columns: 48mm 1fr; gap: 0.5mm 4mm; margin: 2mm 0;
  break-inside: avoid }
dt { font-weight: bold } dd { margin: 0 }
table { border-collapse: collapse; width: 100%; margin: 3mm 0 }
thead { display: table-header-group }
th { text-align: left; border-bottom: 0.6mm solid #000 }
th, td { padding: 1mm 3mm 1mm 0; vertical-align: top } td { border-bottom: 0.2mm solid #000 }
th:nth-child(2) { width: 36% } th:last-child { width: 28% }
tr, figure { break-inside: avoid } .number { text-align: right; white-space: nowrap }
.void .given { text-decoration: line-through } .missing { font-style: italic }
.warning { border: 0.6mm solid #000; padding: 2mm 3mm; font-weight: bold }
figure { margin: 4mm 0 } .plot { width: 100%; height: auto } .patterns { position: absolute }
.plot text { fill: #000 } .key span { margin-right: 6mm; white-space: nowrap }
.signed { margin-top: 14mm } .glance { break-before: page } .fine { break-inside: avoid }
@media print { body { padding: 0 } }
"""


@dataclass(frozen=True, slots=True)
class RecordPage:
    """All that the page is made from.

    `chosen` says in words which treatments these are; `asked` are the counts of `ASKED` over time;
    `vet` is the one that the kit names.
    """

    treatments: Sequence[Treatment]
    chosen: str
    made_at: datetime
    vet: str | None = None
    species: Sequence[Species] = ()
    books: Sequence[Book] = ()
    asked: Sequence[Tally] = ()


def record_page(record: RecordPage) -> str:
    """The whole page."""
    return page(
        f"Treatment record, {record.chosen}",
        _STYLE,
        plots.patterns(),
        *_head(record),
        *_rounds(_readable(record.treatments)),
        tag("p", "Signed ______________________   Date ______________", class_="signed"),
        tag("p", f"What is not stated was never entered. {_KEEP}", class_="fine"),
        *_glance(record),
    )


def _head(record: RecordPage) -> Iterator[Markup]:
    some = record.treatments
    yield tag("h1", "Treatment record")
    yield _facts(
        ("Which treatments", record.chosen),
        ("How many", _counted(some)),
        ("Where the birds are", _each(some, lambda one: one.holding)),
        ("Who treated", _each(some, lambda one: one.keeper)),
        ("Vet", record.vet or _missing("not stated")),
        ("Written on", _full_day(record.made_at.date())),
    )
    if any(one.product.fictional for one in some):
        yield tag("p", _FICTIONAL, class_="warning")


def _counted(treatments: Sequence[Treatment]) -> str:
    doses, counting = len(treatments), sum(one.counts for one in treatments)
    return f"{doses} dose{'' if doses == 1 else 's'} said; {counting} counted as given"


def _readable(treatments: Sequence[Treatment]) -> list[Treatment]:
    """The same, with each dose that a note refers to called by its time instead of its number."""
    called = {one.dose_id: f"the dose of {one.said_at:%H:%M}" for one in treatments}
    return [
        replace(one, note=" ".join(called.get(word, word) for word in one.note.split(" ")))
        for one in treatments
    ]


def _rounds(treatments: Sequence[Treatment]) -> Iterator[Markup]:
    if not treatments:
        yield tag("p", "No treatment.")
    for _, some in groupby(treatments, lambda one: (one.round_id, one.said_at.date())):
        doses = list(some)
        yield tag("h2", _round_title(doses))
        for name in dict.fromkeys(one.product.name for one in doses):
            yield from _medicine([one for one in doses if one.product.name == name])


def _round_title(doses: Sequence[Treatment]) -> str:
    first, last = doses[0], doses[-1]
    return f"{_full_day(first.said_at.date())}, {first.said_at:%H:%M} to {last.at:%H:%M}"


def _medicine(doses: Sequence[Treatment]) -> Iterator[Markup]:
    """What all doses of one medicine in one round share, and a row for each."""
    lots = len({_lot(one) for one in doses if one.counts}) > 1
    yield tag("h3", doses[0].product.name)
    yield _facts(
        ("Active ingredient", _each(doses, lambda one: one.product.active)),
        ("Strength, dilution", _each(doses, lambda one: one.product.strength)),
        ("Label's dose", _each(doses, lambda one: one.product.label_dose)),
        ("Product batch", _each(doses, lambda one: one.product.batch)),
        ("Product expires", _each(doses, lambda one: _maybe_day(one.product.expires))),
        ("Made-up batch", _each(doses, lambda one: one.product.stock_batch)),
        ("Route", _each(doses, lambda one: one.route and _ROUTES.get(one.route, one.route))),
        ("Reason", _each(doses, lambda one: one.reason)),
        ("Prescribed by", _each(doses, lambda one: one.prescriber)),
        ("Eggs", _barred(doses, lambda one: (one.rules.egg_days, one.no_eggs_until))),
        ("Meat", _barred(doses, lambda one: (one.rules.meat_days, one.no_meat_until))),
        ("Next dose", _next(doses)),
    )
    yield tag(
        "table",
        tag("thead", tag("tr", *(tag("th", name, class_=how) for name, how in _COLUMNS))),
        tag("tbody", *(_row(one, lots=lots) for one in doses)),
    )


_ROUTES: Final = {"mouth": "by mouth", "crop": "into the crop, by crop needle"}
_COLUMNS: Final = (
    ("Time", None), ("Bird", None), ("Weight", "number"), ("Volume", "number"),
    ("mg per kg", "number"), ("How it ended", None),
)  # fmt: skip


def _lot(one: Treatment) -> str:
    return ", ".join(filter(None, (one.product.batch, one.product.stock_batch)))


def _row(one: Treatment, *, lots: bool) -> Markup:
    per_kg = one.mg_per_kg
    return tag(
        "tr",
        tag("td", f"{one.at:%H:%M}"),
        tag("td", *_bird(one), f", from {_lot(one)}" if lots and _lot(one) else None),
        tag("td", f"{decimal_text(one.patient.grams)} g", class_="number"),
        tag("td", f"{decimal_text(one.volume_ml)} mL", class_="number given"),
        tag("td", "–" if per_kg is None else rounded_text(per_kg, 1), class_="number given"),
        tag("td", *_ended(one)),
        class_=None if one.counts else "void",
    )


def _bird(one: Treatment) -> Iterator[Content]:
    patient = one.patient
    yield tag("b", patient.bird or patient.species)
    known = (
        patient.species if patient.bird else None,
        patient.ring and f"ring {patient.ring}",
        patient.cage and f"cage {patient.cage}",
        patient.sex,
        f"{patient.birds} birds" if patient.birds > 1 else None,
    )
    yield "".join(f", {fact}" for fact in known if fact)


def _ended(one: Treatment) -> Iterator[Content]:
    """How it ended; what was changed before or after is told under it."""
    yield f"{_ENDS[one.end]}: {one.note}" if one.note else _ENDS[one.end]
    for change in one.history:
        if change.at != one.ended_at:
            yield tag("br")
            yield f"{change.at:%H:%M} {change.what}"
            yield f" ({change.note})" if change.note else None


def _barred(
    doses: Sequence[Treatment], period: Callable[[Treatment], tuple[int | None, date | None]]
) -> Content:
    """The withdrawal period with its last day, counted from the last dose that counts."""
    counting = [period(one) for one in doses if one.counts]
    known = [(days, until) for days, until in counting if days is not None and until is not None]
    if not counting:
        return "nothing was given"
    if len(known) < len(counting):
        return _missing(f"withdrawal period not known. {NOT_EATEN}")
    days, until = max(known, key=lambda one: one[1])
    if not days:
        return "no withdrawal period (0 days)"
    return f"not to be eaten up to and including {_full_day(until)} ({days} days)"


def _next(doses: Sequence[Treatment]) -> Content:
    windows = sorted({window for one in doses if (window := next_window(one))})
    if not windows:
        return _missing("not stated")
    said = (f"from {_full_day(first)} to {_full_day(last)}" for first, last in windows)
    course = next((one.rules.course_doses for one in doses if one.rules.course_doses), None)
    return f"{'; '.join(said)}{f', {course} doses in all' if course else ''}"


def _glance(record: RecordPage) -> Iterator[Markup]:
    """The pictures, each with what it shows; none for what there is nothing of."""
    if not record.treatments:
        return
    yield tag("h2", "At a glance", class_="glance")
    over_time, kinds = doses_over_time(record.treatments), tuple(ENDS)
    yield _figure("Doses over time", plots.bars(over_time, kinds, "Doses over time"), kinds)
    yield from _losses(record.treatments)
    yield from _weights(record)
    if record.books:
        pots = [(_pot_name(book), _pot(book)) for book in record.books]
        yield _figure("What became of each batch, in mL", plots.stacks(pots, tuple(_POT)), _POT)
    if record.asked:
        asked = plots.bars(record.asked, ASKED, "How often it had to ask")
        yield _figure("How often it had to ask before it answered", asked, ASKED)


def _losses(treatments: Sequence[Treatment]) -> Iterator[Markup]:
    """The birds that lost weight fast, and the weights of a bird that stands alone on the page."""
    birds = weights_by_bird(treatments)
    losing = [(bird, loss) for bird in birds if (loss := bird.fast_loss)]
    if losing:
        yield tag("h3", "Weight lost fast")
        lines = (tag("li", f"{bird.name}, {bird.species}: {_lost(loss)}") for bird, loss in losing)
        yield tag("ul", *lines)
    if len(birds) == 1 and len(birds[0].weighings) > 1 and _alone(birds[0], treatments):
        title = tag("h3", f"{birds[0].name}: weight over time")
        yield tag("figure", title, plots.weight_line(birds[0].weighings))


def _alone(bird: BirdWeights, treatments: Sequence[Treatment]) -> bool:
    return all(bird.name in (one.patient.bird, one.patient.ring) for one in treatments)


def _lost(loss: Loss) -> str:
    was, now = loss.before, loss.now
    days = f"{loss.days} day{'' if loss.days == 1 else 's'}"
    return (
        f"{decimal_text(was.grams)} g on {_full_day(was.at.date())}, {decimal_text(now.grams)} g "
        f"on {_full_day(now.at.date())}: {rounded_text(loss.percent, 0)} % in {days}. Ask your vet."
    )


def _weights(record: RecordPage) -> Iterator[Markup]:
    yield tag("h3", "Weights by species")
    yield tag(
        "p",
        "The box is the usual range of healthy adults, in grams; a ring is a weight in it, a cross "
        "one outside. Below each name: how many weighings, the least and the most.",
    )
    yield from (
        tag("figure", plots.strip(one))
        for one in weights_by_species(record.treatments, record.species)
    )


def _figure(title: str, picture: Markup, kinds: Iterable[str]) -> Markup:
    return tag("figure", tag("h3", title), plots.legend(tuple(kinds)), picture)


def _pot_name(book: Book) -> str:
    batch = book.batch
    made, left = decimal_text(book.made_ml), decimal_text(book.left_ml)
    day = _full_day(batch.at.date())
    return f"{batch.medicine}, {batch.name}, {day}: {made} mL made, {left} mL left"


def _pot(book: Book) -> dict[str, Decimal]:
    went = {kind: max(book.out_ml(*moves), Decimal(0)) for kind, moves in _POT.items() if moves}
    return {**went, "left": max(book.left_ml, Decimal(0))}


def _facts(*facts: tuple[str, Content]) -> Markup:
    return tag("dl", *(joined(tag("dt", name), tag("dd", value)) for name, value in facts))


def _each(doses: Sequence[Treatment], fact: Callable[[Treatment], str | None]) -> Content:
    """The fact as all doses have it, each value once; missing where none states it."""
    found = dict.fromkeys(value for one in doses if (value := fact(one)))
    return "; ".join(found) or _missing("not stated")


def _missing(text: str) -> Markup:
    return tag("span", text, class_="missing")


def _maybe_day(day: date | None) -> str | None:
    return None if day is None else _full_day(day)


def _full_day(day: date) -> str:
    return f"{day_text(day, day)} {day.year}"
