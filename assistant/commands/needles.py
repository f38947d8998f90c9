"""`dosewren needle`: what a needle holds, measured; and which is usual for a bird."""

from __future__ import annotations

import click

from assistant.adapters.birds.cells import all_named
from assistant.adapters.terminal.needle_measuring import measure_needle
from assistant.adapters.terminal.plain import TerminalPrompter
from assistant.dosing.kit import Kit
from assistant.dosing.needle_advice import EYE, advise
from assistant.dosing.quantities import decimal_text
from assistant.dosing.species import Bird
from assistant.errors import UsageProblem
from assistant.wiring import open_home


def measure_one(home: str | None) -> None:
    """Lead through the measuring of a needle."""
    measure_needle(open_home(home), TerminalPrompter())


def advise_on(home: str | None, named: str) -> None:
    """Print which needle is usual for a bird, and which of the keeper's are like it."""
    holding = open_home(home).holding()
    found = all_named(named, holding.aviary)
    if len(found) != 1:
        names = ", ".join(one.name for one in found)
        what = f"“{named}” can be several birds." if found else f"No bird is called “{named}”."
        raise UsageProblem(what, f"Name one of: {names}." if found else "Name a species.")
    one = found[0]
    species = holding.aviary.species(one.species) if isinstance(one, Bird) else one
    advice = advise(species)
    if advice is None:
        click.echo(f"{species.spoken}: no source is known here for a needle. {EYE}")
        return
    length = decimal_text(advice.length_mm)
    click.echo(
        f"{species.spoken}: usually {advice.said}, about {length} mm, with a ball tip. {EYE}"
    )
    click.echo("  Gauges: LafeberVet, by the birds it names, others by weight; length: no source.")
    click.echo("  A needle that locks onto the syringe cannot come off in the bird.")
    click.echo(
        _own(holding.kit, [needle.name for needle in holding.kit.needles if advice.fits(needle)])
    )


def _own(kit: Kit, fitting: list[str]) -> str:
    if fitting:
        return f"  Of yours: {'; '.join(fitting)}."
    return f"  None of yours is like that: {'; '.join(one.name for one in kit.needles)}."
