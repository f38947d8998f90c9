from __future__ import annotations

from datetime import datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.entries import (
    DoseEnd,
    DoseEndEntry,
    DoseEntry,
    ExchangeEntry,
    NoteEntry,
)

# Any text: control characters, NUL and all scripts, but no half surrogates, which no file can hold.
words = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
maybe = st.none() | words
offsets = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))
times = st.datetimes(datetime(1970, 1, 3), datetime(2200, 1, 1), timezones=offsets)  # noqa: DTZ001 - hypothesis adds the offset
amounts = st.decimals(0, 10**9, allow_nan=False, places=4) | st.integers(0, 10**6).map(Decimal)
exchanges = st.builds(
    ExchangeEntry,
    at=times,
    round_id=words,
    channel=words,
    engine=words,
    heard=words,
    confidence=st.floats(0, 1),
    status=words,
    intent=maybe,
    request=words,
    reason=maybe,
    reply=words,
)
doses = st.builds(
    DoseEntry,
    at=times,
    round_id=words,
    dose_id=words,
    species=words,
    bird=maybe,
    grams=amounts,
    medicine=words,
    strength=words,
    dilution=words,
    volume_ml=amounts,
    exact_ml=amounts,
    syringe=words,
    needle=words,
    needle_state=words,
    band=maybe,
    fictional=st.booleans(),
)
notes = st.builds(NoteEntry, at=times, round_id=words, kind=words, text=words)
ends = st.tuples(times, words, st.sampled_from(DoseEnd), words)


@settings(deadline=None)
@given(
    st.lists(exchanges, max_size=4),
    st.lists(doses, max_size=4, unique_by=lambda dose: dose.dose_id),
    st.lists(notes, max_size=4),
    st.lists(ends, max_size=4),
)
def test_whatever_is_written_is_read_back_after_reopening(
    said: list[ExchangeEntry],
    dosed: list[DoseEntry],
    noted: list[NoteEntry],
    ended: list[tuple[datetime, str, DoseEnd, str]],
):
    ending = [
        DoseEndEntry(at, round_id, dose.dose_id, end, note)
        for dose, (at, round_id, end, note) in zip(dosed, ended, strict=False)
    ]
    with TemporaryDirectory() as folder:
        path = Path(folder) / "register.sqlite"
        with SqliteRegister(path) as register:
            register.append([*said, *dosed, *noted, *ending])
        with SqliteRegister(path) as register:
            assert register.exchanges() == tuple(said)
            assert [kept.said for kept in register.doses()] == dosed
            assert register.notes() == tuple(noted)
            assert register.dose_ends() == tuple(ending)
            assert len(register.pending()) == len(dosed) - len(ending)
