"""The parts of a `[[medicine]]` table, each read and checked on its own.

name, active, source     texts, all needed
spoken                   a list of texts; the name itself where it is left out
dose                     needed: "0.5 mL/kg" of the neat product, or "20 mg/kg" with a strength
dose_is_maximum          true where the label gives a most and no more
strength                 "25 mg/mL" or "2.5 %", of the neat product
dilution                 needed: { product = 1, water = 9 }, "1 + 9", "1 in 10" or "neat"
route                    needed: "mouth" or "crop"
form                     needed: "suspension" or "solution"
shake                    true or false, where it is not shaken as its form says
safety_multiple          how many label doses are where harm begins
storage, keeps_days      of the made-up dilution
next_dose_days           [10, 14], the earliest and the latest day
course_doses             how many doses a course has, the first one counted
cautions                 [{ for = "pigeon", say = "…", refuse = true }]
banding                  { step_g = 50, cap_percent = 15 }; its presence is the permission
for_chicks               true where label or vet allow it for young and unweaned birds
same_day_as              ["Thistle Demo"]: medicines that one bird may have on the same day
weaker_dilutions         ["1 + 19"]: other dilutions that label or vet allow, all weaker
fictional                true marks every answer
confirmed_by, confirmed_on, confirmed_figures   written by the guided confirmation

Those that only the record of a treatment asks for are in assistant/dosing/for_record.py.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from assistant.dosing.dilution import AmbiguousDilution, Dilution
from assistant.dosing.for_record import RECORD_KEYS, read_date
from assistant.dosing.label import (
    Banding,
    Caution,
    Confirmation,
    Form,
    Interval,
    LabelDose,
    Permissions,
)
from assistant.dosing.quantities import Kind
from assistant.dosing.tables import plain_number, shown

if TYPE_CHECKING:
    from assistant.dosing.tables import Table


KEYS = (
    "name",
    "spoken",
    "active",
    "strength",
    "dose",
    "dose_is_maximum",
    "dilution",
    "safety_multiple",
    "form",
    "shake",
    "storage",
    "keeps_days",
    "next_dose_days",
    "course_doses",
    "route",
    "cautions",
    "for_chicks",
    "same_day_as",
    "weaker_dilutions",
    "source",
    "fictional",
    "banding",
    "confirmed_by",
    "confirmed_on",
    "confirmed_figures",
    *RECORD_KEYS,
)
_WEAKER = "weaker_dilutions"
_ROUTES = ("mouth", "crop")
_LONGEST_INTERVAL_DAYS = 365
_WIDEST_CAP_PERCENT = 50
_DILUTION_REMEDY = "Write dilution = { product = 1, water = 9 }, with your own parts."


def read_route(table: Table) -> str | None:
    """By mouth or into the crop; a problem is kept for any other route."""
    route = table.text("route", needed=True)
    if route is not None and route.casefold() not in _ROUTES:
        table.wrong(
            "route",
            f"{shown(route)} is not a way of giving that is worked out here",
            'Write "mouth" or "crop"; nothing else is worked out.',
        )
    return route and route.casefold()


def read_label(table: Table, strength: Fraction | None) -> LabelDose | None:
    """The label's dose, by volume of neat product or by weight of active and the strength."""
    dose = table.amount("dose", Kind.VOLUME_DOSE, Kind.MASS_DOSE, needed=True)
    said = table.content.get("dose")
    is_maximum = table.flag("dose_is_maximum")
    if dose is None:
        return None
    kind, rate = dose
    if kind is Kind.MASS_DOSE:
        if strength is None:
            table.wrong(
                "dose",
                "a dose in mg needs the strength",
                'Add a line such as strength = "25 mg/mL"',
            )
            return None
        rate /= strength
    return LabelDose(" ".join(str(said).split()), rate, is_maximum)


def read_dilution(table: Table) -> Dilution | None:
    """The dilution, as a table of parts or as a text that can be read in one way only."""
    if table.missing("dilution", needed=True):
        return None
    value = table.content["dilution"]
    if isinstance(value, Mapping):
        return _parts(table)
    try:
        return Dilution.parse(value) if isinstance(value, str) else _not_text(value)
    except AmbiguousDilution as problem:
        choices = " or ".join(
            f"{{ product = {one.product}, water = {one.water} }}" for one in problem.readings
        )
        table.wrong("dilution", str(problem).removesuffix("."), f"Write dilution = {choices}.")
    except ValueError as problem:
        table.wrong("dilution", str(problem).removesuffix("."), _DILUTION_REMEDY)
    return None


def _not_text(value: object) -> Dilution:
    raise ValueError(f"{shown(value)} is not a dilution.")


def _parts(table: Table) -> Dilution | None:
    inner = table.inner("dilution")
    if inner is None:
        return None
    inner.allow_only(("product", "water"))
    product = inner.number("product", needed=True)
    water = inner.number("water", needed=True, zero=True)
    return None if product is None or water is None else Dilution(product, water)


def read_safety_multiple(table: Table) -> Decimal | None:
    """How many times the label's dose is where harm begins."""
    multiple = table.number("safety_multiple")
    if multiple is not None and multiple < 1:
        table.wrong("safety_multiple", f"{multiple} is below the label's own dose")
    return multiple


def read_form(table: Table) -> Form | None:
    """Suspension or solution."""
    form = table.text("form", needed=True)
    with suppress(ValueError):
        return None if form is None else Form(form.casefold())
    table.wrong(
        "form",
        f"{shown(form)} is neither a suspension nor a solution",
        'Write "suspension" or "solution".',
    )
    return None


def read_shake(table: Table) -> bool | None:
    """Whether it is shaken before each draw; None where its form says so."""
    return table.flag("shake") if "shake" in table.content else None


def read_permissions(table: Table, dilution: Dilution | None) -> Permissions:
    """What is refused unless the file allows it; `dilution` is the medicine's own."""
    weaker = filter(None, (_weaker(table, text, dilution) for text in table.texts(_WEAKER)))
    return Permissions(table.flag("for_chicks"), table.texts("same_day_as"), tuple(weaker))


def _weaker(table: Table, text: str, own: Dilution | None) -> Dilution | None:
    try:
        found = Dilution.parse(text)
    except ValueError as problem:
        table.wrong(_WEAKER, str(problem).removesuffix("."), "Write each as in 1 + 19.")
        return None
    if own and found.factor <= own.factor:
        table.wrong(_WEAKER, f"{shown(text)} is not weaker than the dilution itself")
    return found


def read_interval(table: Table) -> Interval | None:
    """The window for the next dose, and how many doses make a course."""
    course_doses = table.whole("course_doses")
    if table.missing("next_dose_days", needed=False):
        if course_doses is not None and course_doses > 1:
            table.missing("next_dose_days", needed=True)
        return None
    value = table.content["next_dose_days"]
    days = [plain_number(day) for day in value] if isinstance(value, list) else []
    match days:
        case [Decimal() as first, Decimal() as last] if (
            0 < first <= last <= _LONGEST_INTERVAL_DAYS
            and first == int(first)
            and last == int(last)
        ):
            return Interval(int(first), int(last), course_doses)
    table.wrong(
        "next_dose_days",
        f"{shown(value)} is not a window of days",
        "Write the earliest and the latest day, as in next_dose_days = [10, 14].",
    )
    return None


def read_cautions(table: Table) -> tuple[Caution, ...]:
    """The cautions; one refuses the dose unless it says refuse = false."""
    cautions = []
    for row in table.rows("cautions"):
        row.allow_only(("for", "say", "refuse"))
        applies_to = row.text("for", needed=True)
        text = row.text("say", needed=True)
        refuses = row.flag("refuse", default=True)
        if applies_to and text:
            cautions.append(Caution(applies_to, text, refuses))
    return tuple(cautions)


def read_banding(table: Table) -> Banding | None:
    """Permission for weight bands; its presence is the permission."""
    inner = table.inner("banding")
    if inner is None:
        return None
    inner.allow_only(("step_g", "cap_percent"))
    step = inner.number("step_g", needed=True)
    cap = inner.number("cap_percent") if "cap_percent" in inner.content else Decimal(15)
    if cap is not None and cap > _WIDEST_CAP_PERCENT:
        inner.wrong("cap_percent", f"{cap} is more than {_WIDEST_CAP_PERCENT} % over the label")
    return None if step is None or cap is None else Banding(step, cap)


def read_confirmation(table: Table) -> Confirmation | None:
    """Who confirmed, when and what; without a name and a date nobody has."""
    by = table.text("confirmed_by")
    figures = table.text("confirmed_figures") or ""
    if table.missing("confirmed_on", needed=False):
        return None
    on = read_date(table, "confirmed_on")
    return Confirmation(by, on, figures) if by and on else None
