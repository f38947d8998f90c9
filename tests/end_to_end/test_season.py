"""A worked season through the real command, its clock alone set: the books and the record hold.

The books are worked out a second time here from the exports, with nothing of ours: from what each
bird got, each needle keeps and each syringe can show.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

import pytest

from tests.end_to_end.season_scene import DAYS, DUE, Season, birds, play

Row = dict[str, str]

DEAD_ML = Decimal(str(round(math.pi / 4 * 1.6**2 * 75 / 1000, 4))) + Decimal("0.05")
"""What the needle keeps: the bore of 14 gauge by 75 mm (nominal, 1.600 mm) and 0.05 mL of hub."""

MARKS_ML = {"1 mL syringe": Decimal("0.01"), "2.5 mL syringe": Decimal("0.1")}
FULL = ("given", "part_given", "not_known")
OUT = ("given_ml", "kept_ml", "surplus_ml", "lost_ml", "spilled_ml", "thrown_ml")
SITTINGS = {"first": "1", "second": "2", "second, after a restart": "3", "third": "4"}
"""Which batch each sitting drew from."""

TAKEN_BACK = "Zinnia"
"""Whose first dose was scratched after it was given: its needle had been primed all the same."""


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Season:
    """Give the whole season, played once."""
    return play(tmp_path_factory.mktemp("season") / "home")


@pytest.fixture(scope="module")
def doses(season: Season) -> list[Row]:
    """Give the exported doses, by the sittings that they were said in."""
    return season.exported("register")


@pytest.fixture(scope="module")
def moves(season: Season) -> list[Row]:
    """Give the exported moves of stock."""
    return season.exported("stock", "list", "--moves")


@pytest.fixture(scope="module")
def batches(season: Season) -> list[Row]:
    """Give the exported batches."""
    return season.exported("stock", "list")


def by_hand(doses: Iterable[Row]) -> dict[str, Decimal]:
    """What the doses of one sitting must have taken from the pot, in mL, from their rows alone."""
    taken = defaultdict[str, Decimal](Decimal)
    syringe, seen = "", set[str]()
    for dose in doses:
        volume = Decimal(dose["volume_ml"])
        primed = dose["needle_state"] != "full" or dose["syringe"] != syringe
        syringe = dose["syringe"]
        slip = dose["bird"] == TAKEN_BACK and dose["bird"] not in seen
        seen.add(dose["bird"])
        if dose["end"] == "scratched" and not slip:
            continue
        if dose["end"] != "scratched":
            taken["given" if dose["end"] in FULL else "lost"] += volume
        if primed:
            marks = MARKS_ML[syringe]
            past = ((volume + DEAD_ML) / marks).to_integral_value(ROUND_CEILING) * marks
            taken["kept"] += DEAD_ML
            taken["surplus"] += past - volume - DEAD_ML
    return taken


def lies(batches: list[Row], moves: list[Row]) -> list[str]:
    """Where the batches do not balance, or are not what their moves make of them."""
    found = []
    for batch in batches:
        changes = [Decimal(m["change_ml"]) for m in moves if m["batch_id"] == batch["batch_id"]]
        out = sum((Decimal(batch[name]) for name in OUT), Decimal(0))
        left = Decimal(batch["made_ml"]) - out + Decimal(batch["measured_ml"])
        if abs(left - Decimal(batch["left_ml"])) > Decimal("0.01"):
            found.append(f"{batch['batch_id']} does not balance")
        if abs(sum(changes, Decimal(0)) - left) > Decimal("0.01"):
            found.append(f"{batch['batch_id']} is not the sum of its moves")
    return found


def sitting(doses: list[Row], season: Season, name: str) -> list[Row]:
    """The doses that were said in one sitting, in their order."""
    rounds = list(dict.fromkeys(row["round_id"] for row in doses))
    said_in = [one for one in season.answers if any(a["dose_ml"] for a in season.answers[one])]
    wanted = rounds[said_in.index(name)]
    return [row for row in doses if row["round_id"] == wanted]


def treated(doses: list[Row]) -> list[tuple[str, str]]:
    """Each bird with each day on which it had a dose that counts."""
    return [(row["bird"], row["at"][:10]) for row in doses if row["end"] in FULL]


def test_it_is_a_season_of_sixty_birds_of_twelve_species_and_three_rounds(doses: list[Row]):
    flock = birds()
    assert (len(flock), len({one["species"] for one in flock})) == (60, 12)
    assert {day for _, day in treated(doses)} == set(DAYS)


def test_every_bird_was_treated_once_in_each_round_but_those_that_refused(doses: list[Row]):
    refused = {("Kestrel", DAYS[0]), ("Rowan", DAYS[1]), ("Hickory", DAYS[2])}
    expected = {(one["name"], day) for one in birds() for day in DAYS} - refused
    assert Counter(treated(doses)) == Counter(expected)


def test_the_books_balance(batches: list[Row], moves: list[Row]):
    assert [batch["number"] for batch in batches] == ["1", "2", "3", "4"]
    assert lies(batches, moves) == []
    assert [batch["left_ml"] for batch in batches][:2] == ["0", "0"]
    assert all(Decimal(batch["left_ml"]) > 0 for batch in batches[2:])


@pytest.mark.parametrize(("name", "number"), SITTINGS.items())
def test_what_left_each_pot_is_what_its_birds_and_needles_took(
    season: Season, doses: list[Row], batches: list[Row], name: str, number: str
):
    taken = by_hand(sitting(doses, season, name))
    batch = batches[int(number) - 1]
    for kind in ("given", "kept", "surplus", "lost"):
        assert Decimal(batch[f"{kind}_ml"]) == taken[kind], kind
    assert taken["kept"] > 10 * DEAD_ML or number != "1", "a priming for each new needle"


def test_each_dose_left_one_pot_once(doses: list[Row], moves: list[Row]):
    net = defaultdict[str, Decimal](Decimal)
    for move in moves:
        if move["kind"] in ("given", "lost"):
            net[move["dose_id"]] -= Decimal(move["change_ml"])
    ended = {row["dose_id"]: Decimal(row["volume_ml"]) for row in doses if row["end"]}
    scratched = {row["dose_id"] for row in doses if row["end"] == "scratched"}
    day_after = {row["dose_id"] for row in doses if row["at"] >= "2026-03-30"}
    assert {dose: volume for dose, volume in net.items() if volume} == {
        dose: volume for dose, volume in ended.items() if dose not in scratched | day_after
    }


@pytest.mark.parametrize("place", [0, 1, 40, -1])
def test_a_move_that_went_missing_would_be_seen(batches: list[Row], moves: list[Row], place: int):
    fewer = [move for move in moves if move is not moves[place]]
    assert lies(batches, fewer)


@pytest.mark.parametrize("name", [*OUT, "made_ml", "measured_ml", "left_ml"])
def test_a_figure_that_is_off_by_two_hundredths_would_be_seen(
    batches: list[Row], moves: list[Row], name: str
):
    off = [{**batch, name: str(Decimal(batch[name]) + Decimal("0.02"))} for batch in batches]
    assert lies(off, moves)


def test_a_millilitre_that_nobody_saw_go_is_reported_when_the_pot_is_measured(
    season: Season, batches: list[Row]
):
    assert "mL measured: 1 mL less." in season.printed["measure 1"]
    assert "more than reading a pot explains" in season.printed["measure 1"]
    assert batches[0]["measured_ml"] == "-1"


def test_a_spilled_pot_is_measured_and_the_rest_booked(season: Season, batches: list[Row]):
    assert "Measure it" in str(season.answer("second", "spilled the pot")["reply"])
    spilled = Decimal(batches[1]["spilled_ml"])
    assert f"Spilled: {spilled} mL." in str(season.answer("second", "pot holds 24")["reply"])
    assert spilled > 10
    assert "About 24 mL; enough for about" in str(
        season.answer("second", "how much is left")["reply"]
    )


def test_low_stock_is_said_once_in_time(season: Season):
    warned = [
        str(one["reply"]) for one in season.answers["second"] if "Low: about" in str(one["reply"])
    ]
    assert len(warned) == 1
    assert not any("Low: " in str(one["reply"]) for one in season.answers["first"])


@pytest.mark.parametrize(
    ("when", "heard"),
    [
        ("first", "Alder 31 g"),
        ("second, after a restart", "Alder 32 g"),
        ("too early", "Alder 32 g"),
        ("third", "ring S 101 31 g"),
    ],
)
def test_no_bird_is_dosed_twice_by_name_or_ring_nor_after_a_restart(
    season: Season, when: str, heard: str
):
    # the first time a bird is said it may be its turn; the last time it never is
    answer = [one for one in season.answers[when] if one["heard"] == heard][-1]
    assert (answer["reason"], answer["dose_ml"]) == ("already_dosed", None)


def test_a_wrong_ring_gets_no_dose(season: Season):
    answer = season.answer("first", "ring S 999 54 g")
    assert (answer["status"], answer["dose_ml"]) == ("asked", None)
    assert "I do not know that ring" in str(answer["reply"])


@pytest.mark.parametrize(
    ("when", "heard"), [("second, after a restart", "batch 1"), ("old pot", "batch 3")]
)
def test_a_pot_of_the_round_before_is_refused(season: Season, when: str, heard: str):
    answer = season.answer(when, heard)
    assert answer["reason"] == "out_of_date"
    assert "throw it away" in str(answer["reply"])


def test_the_guard_knows_the_day_after_who_may_have_the_next_dose(season: Season, doses: list[Row]):
    """Nobody but the bird that refused in the third round, two weeks after its second dose."""
    for bird in birds():
        answer = season.answer("day after", f"{bird['name']} {bird['third_g']} g")
        last = max(day for name, day in treated(doses) if name == bird["name"])
        due = date.fromisoformat(last) + timedelta(days=10)
        if due <= date(2026, 3, 30):
            assert (bird["name"], answer["status"]) == ("Hickory", "answered")
        else:
            assert f"The next is due from {due.day} {due:%B}." in str(answer["reply"])


def test_the_record_says_who_is_due_again(season: Season, doses: list[Row]):
    """Between two rounds: of a course of two doses, ten to fourteen days apart, who had but one."""
    had = [(name, date.fromisoformat(day)) for name, day in treated(doses) if day < DUE]
    counted = Counter(name for name, _ in had)
    once = {name: day for name, day in had if counted[name] == 1}
    assert set(once) == {"Kestrel", "Rowan"}
    lines = season.printed["due"].splitlines()
    assert {line.partition(",")[0] for line in lines if "Marigold Demo" in line} == set(once)
    for name, day in once.items():
        (line,) = [one for one in lines if one.startswith(name)]
        until = day + timedelta(days=14)
        assert f"until {until.day} {until:%B}." in line
        assert ("late" in line) == (until < date.fromisoformat(DUE))


def test_the_record_of_each_treatment_names_its_batch(season: Season, doses: list[Row]):
    of_dose = {row["dose_id"]: row for row in season.exported("records")}
    for name, number in SITTINGS.items():
        for dose in sitting(doses, season, name):
            if dose["end"] in FULL:
                row = of_dose[dose["dose_id"]]
                assert row["stock_batch"].endswith(f"-{number}")
                assert (row["product_batch"], row["product_expires"]) == ("LOT 7", "2027-06-30")
