"""The invented scene that the tests of the dose share: one medicine, its bird and the tools."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from assistant.dosing.dose import Dose, DoseRequest, Refusal, Tools, work_out
from assistant.dosing.medicine import Confirmation, Medicine, read_medicine
from assistant.dosing.needle import Needle, NeedleState
from assistant.dosing.species import Crop, Species
from assistant.dosing.syringe import Syringe

MARIGOLD = {
    "name": "Marigold Demo",
    "active": "demosol",
    "strength": "25 mg/mL",
    "dose": "0.5 mL/kg",
    "dilution": {"product": 1, "water": 9},
    "safety_multiple": 10,
    "form": "suspension",
    "route": "crop",
    "source": "invented for tests",
    "fictional": True,
}
"""Every figure is invented."""

FINE = Syringe(Decimal(1), Decimal("0.01"))
MIDDLE = Syringe(Decimal("2.5"), Decimal("0.1"))
LARGE = Syringe(Decimal(10), Decimal("0.5"))
NEEDLE = Needle(14, Decimal(75))


def medicine(**changes: object) -> Medicine:
    """The invented medicine with some keys changed, confirmed as it then stands."""
    read = read_medicine({**MARIGOLD, **changes}, "medicines.toml")
    return confirmed(read)


def confirmed(read: Medicine) -> Medicine:
    """The medicine confirmed as it stands."""
    vouched = Confirmation("Demo Keeper", date(2025, 3, 31), read.figures)
    return replace(read, confirmation=vouched)


def species(low: str = "10", high: str = "2000", crop: Crop = Crop.TRUE) -> Species:
    """A species of any size with a true crop, unless told otherwise."""
    return Species(
        name="Test bird",
        aliases=("tester",),
        scientific="Avis probationis",
        group="finch",
        mean_g=None,
        mean_source="",
        low_g=Decimal(low),
        high_g=Decimal(high),
        range_source="invented",
        range_basis="keeper",
        crop=crop,
    )


def request(grams: str, **changes: object) -> DoseRequest:
    """A bird of so many grams, the invented medicine and a dry needle, with some parts changed."""
    plain = DoseRequest(species(), Decimal(grams), medicine(), NEEDLE, NeedleState.DRY)
    return replace(plain, **changes)  # type: ignore[arg-type]  # each test names a field it knows


def tools(*syringes: Syringe, **changes: object) -> Tools:
    """A round with these syringes (or three sizes), a 1 g scale and the usual limit of 10 %."""
    plain = Tools(syringes or (FINE, MIDDLE, LARGE), None, Decimal(10), Decimal(1))
    return replace(plain, **changes)  # type: ignore[arg-type]  # each test names a field it knows


def dose(asked: DoseRequest, at_hand: Tools) -> Dose:
    """The dose for one bird, which must get one."""
    found = work_out(asked, at_hand)
    assert isinstance(found, Dose), found
    return found


def refusal(asked: DoseRequest, at_hand: Tools) -> Refusal:
    """What speaks against a dose for one bird, which must get none."""
    found = work_out(asked, at_hand)
    assert isinstance(found, Refusal), found
    return found
