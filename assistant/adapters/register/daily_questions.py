"""What a round asks the register every day, in SQL that stays quick in a register of many years.

The tables and their indexes are in data/register; `assistant/bench/register_bench.py` measures.
"""

from __future__ import annotations

from typing import Final

from assistant.conversation.entries import COUNTS_AS_FULL

_FULL: Final = ", ".join(f"'{end}'" for end in sorted(COUNTS_AS_FULL))

_LOOKED_AT: Final = 8
"""Of each bird and medicine so many doses that count are looked at, the last that were written.
The newest by its instant is among them unless a clock was set back over all of them."""

_NEWEST: Final = f"""
    SELECT id FROM (
        SELECT id, ended_at FROM dose_with_end
        WHERE bird = {{bird}} AND medicine = {{medicine}} AND ending IN ({_FULL})
        ORDER BY id DESC LIMIT {_LOOKED_AT}
    ) ORDER BY julianday(ended_at) DESC, id DESC LIMIT 1
"""  # noqa: S608 - our own words

LAST_FULL_DOSE_OF: Final = f"""
    SELECT * FROM dose_with_end WHERE id = ({_NEWEST.format(bird="?", medicine="?")})
"""  # noqa: S608 - our own words
"""The newest dose after which this bird (the first value) counts as dosed with this medicine."""

LAST_FULL_DOSES: Final = f"""
    WITH RECURSIVE treated (bird, medicine) AS (  -- from one pair to the next, along the index
        SELECT * FROM (
            SELECT bird, medicine FROM dose WHERE bird IS NOT NULL ORDER BY bird, medicine LIMIT 1)
        UNION ALL
        SELECT dose.bird, dose.medicine FROM treated JOIN dose ON dose.id = (
            SELECT id FROM dose
            WHERE bird IS NOT NULL AND (bird, medicine) > (treated.bird, treated.medicine)
            ORDER BY bird, medicine LIMIT 1)
    )
    SELECT dose_with_end.* FROM treated JOIN dose_with_end ON dose_with_end.id =
        ({_NEWEST.format(bird="treated.bird", medicine="treated.medicine")})
    ORDER BY id
"""  # noqa: S608 - our own words
"""The same for each named bird and medicine."""

OPEN_DOSES: Final = """
    SELECT * FROM dose WHERE NOT EXISTS (
        SELECT 1 FROM dose_end WHERE dose_end.dose_id = dose.dose_id)
    ORDER BY id DESC
"""
"""Doses that have no end yet, the newest first."""

STOCK_SUMS: Final = """
    SELECT batch_id, kind, change_ml, count(*) AS times FROM stock_move
    WHERE batch_id IN ({marks}) GROUP BY batch_id, kind, change_ml
"""
"""The moves of some batches, equal ones together: the sums stay exact, which SQL's own are not."""
