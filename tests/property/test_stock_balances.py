"""Whatever is done with a pot, in whatever order: nothing is made and nothing is lost."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.adapters.register.sqlite import SqliteRegister
from assistant.conversation.pot import stocked
from assistant.dosing.needle import Needle, NeedleState
from assistant.dosing.quantities import Kind, grams, millilitres, parse
from assistant.stock.books import Book, enough_for, measured
from assistant.stock.moves import Move, MoveKind, dose_moves, drawn
from tests.dosing_scene import FINE, LARGE, MIDDLE
from tests.stock_scene import BLANK, POT, made_up, moved
from tests.talk_scene import Talk, setting

OUT = (MoveKind.GIVEN, MoveKind.KEPT, MoveKind.SURPLUS, MoveKind.LOST, MoveKind.SPILLED)
volumes = st.decimals(0, 1000, places=6)
outs = st.builds(lambda kind, volume: moved(kind, -volume), st.sampled_from(OUT), volumes)
found = st.decimals(-1000, 1000, places=6).map(lambda one: moved(MoveKind.MEASURED, one))
moves = st.lists(outs | found, max_size=40)
marks = st.integers(1, 40).map(lambda n: Decimal(n) / 4)
needles = st.builds(Needle, st.sampled_from((10, 14, 18)), st.sampled_from((50, 75)).map(Decimal))
states = st.sampled_from((NeedleState.DRY, NeedleState.FULL, NeedleState.RINSED))


def balance(book: Book) -> Decimal:
    """What was made less everything that it became."""
    out = book.out_ml(*OUT, MoveKind.THROWN)
    return book.made_ml - out + book.sums.get(MoveKind.MEASURED, Decimal(0)) - book.left_ml


@given(moves)
def test_what_was_made_is_what_it_became_to_the_last_digit(done: list[Move]):
    assert balance(made_up(*done)) == 0


@given(moves)
def test_the_sum_is_that_of_exact_fractions(done: list[Move]):
    exact = 50 + sum((Fraction(move.change_ml) for move in done), Fraction(0))
    assert Fraction(made_up(*done).left_ml) == exact


@given(moves, st.randoms(use_true_random=False))
def test_any_order_gives_the_same_books(done: list[Move], chance: object):
    shuffled = sorted(done, key=lambda _: chance.random())  # type: ignore[attr-defined]  # a Random
    assert made_up(*done) == made_up(*shuffled)


@given(marks, needles, states, st.sampled_from((FINE, MIDDLE, LARGE)))
def test_a_dose_takes_what_was_drawn_and_a_priming_no_less_than_the_needle_holds(
    dose: Decimal, needle: Needle, state: NeedleState, syringe: object
):
    taken = drawn(dose, needle, state, syringe)  # type: ignore[arg-type]  # one of three syringes
    book = made_up(*dose_moves(BLANK, taken))
    assert 50 - book.left_ml == taken.all_ml
    assert taken.surplus_ml >= 0
    assert taken.kept_ml == (0 if state is NeedleState.FULL else needle.dead_ml)


@given(moves, volumes)
def test_after_measuring_the_books_say_what_was_found(done: list[Move], volume: Decimal):
    book = made_up(*done)
    after = book.after(*measured(book, volume, moved(MoveKind.SPILLED, "0")))
    assert after.left_ml == volume
    assert balance(after) == 0


@given(st.lists(volumes.filter(bool), min_size=1, max_size=20), volumes)
def test_more_birds_never_need_less(doses: list[Decimal], left: Decimal):
    mean = sum(doses, Decimal(0)) / len(doses)
    assert enough_for(left, mean) * Fraction(mean) <= Fraction(left)
    assert enough_for(left, mean * 2) <= enough_for(left, mean)


@given(st.integers(1, 5000).map(lambda n: Decimal(n) / 100))
def test_units_never_change_the_books(volume: Decimal):
    """A pot measured in litres, or a bird in kilograms, is the same in the books."""
    litres = volume / 1000
    changes = {
        -millilitres(parse(text, Kind.VOLUME)) for text in (f"{volume:f} mL", f"{litres:f} L")
    }
    assert {made_up(moved(MoveKind.THROWN, change)).left_ml for change in changes} == {50 - volume}
    assert grams(parse(f"{litres:f} kg", Kind.MASS)) == volume


@settings(deadline=None)
@given(moves)
def test_the_register_adds_up_what_its_rows_say_to_the_last_digit(done: list[Move]):
    with TemporaryDirectory() as folder:
        register = SqliteRegister(Path(folder) / "register.sqlite")
        with register:
            register.append([POT, moved(MoveKind.MADE, "50"), *done, *done])
            (book,) = register.books()
    assert book.left_ml == made_up(*done, *done).left_ml
    assert all(book.out_ml(kind) == made_up(*done, *done).out_ml(kind) for kind in MoveKind)


FLOCK = ("cockatiel 95", "cockatiel 90", "budgie 30", "budgie 31", "pepper 101", "saffron 33")


def books_of(birds: list[str]) -> Book:
    """What a round of these birds makes of the pot, drawn with one syringe."""
    talk = Talk(setting(syringes=(FINE,)))
    talk.state = stocked(talk.state, (made_up(),), talk.at)
    talk.say("yes", *(line for bird in birds for line in (bird, "given")))
    (book,) = talk.state.stock.shelf
    return book


@given(st.permutations(FLOCK))
def test_any_order_of_birds_gives_the_same_given_and_the_same_primings(birds: list[str]):
    book, other = books_of(birds), books_of(list(FLOCK))
    assert book.out_ml(MoveKind.GIVEN) == other.out_ml(MoveKind.GIVEN)
    assert book.out_ml(MoveKind.KEPT) == other.out_ml(MoveKind.KEPT)
    # what is pushed out depends on the mark above the dose that the needle is primed with
    assert abs(book.left_ml - other.left_ml) < FINE.graduation_ml


@given(
    st.sampled_from([("95 g", "0.095 kg"), ("95 grams", "ninety five"), ("28.349523125 g", "1 oz")])
)
def test_the_unit_of_a_weight_never_changes_the_books(weights: tuple[str, str]):
    bird = "budgie" if "oz" in weights[1] else "cockatiel"
    first, second = (books_of([f"{bird} {weight}"]) for weight in weights)
    assert first == second
    assert first.out_ml(MoveKind.GIVEN) > 0


@given(st.lists(st.sampled_from(FLOCK), unique=True, max_size=6))
def test_more_birds_never_leave_more(birds: list[str]):
    left = [books_of(birds[:count]).left_ml for count in range(len(birds) + 1)]
    assert left == sorted(left, reverse=True)
