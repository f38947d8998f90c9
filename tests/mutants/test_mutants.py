"""The runner itself: which changes there are, and that each reaches whoever holds the function."""

from __future__ import annotations

import ast
import inspect
import os
import signal
import sys
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest

from assistant.conversation import machine
from assistant.dosing import dilution, kit, limits
from tests.mutants.covering import PACKAGES, sources
from tests.mutants.judging import Begun, Outcome, in_a_fork, verdict_of
from tests.mutants.places import ROOT, Mutant, mutants_of
from tests.mutants.putting_in import module_of, put_in
from tests.mutants.run import equivalents

SOURCE = '''"""A module."""

from __future__ import annotations

LIMIT = 3

class Gate:
    """Lets some through."""

    wide: bool = True

    def lets(self, size: int, other: str | None = None) -> str:
        """An answer."""
        if self.wide and size < LIMIT:
            raise ValueError("narrow")
        return "yes"
'''


def changes(source: str = SOURCE) -> list[str]:
    """The mutants without the module's name."""
    return [one.name.removeprefix("m.py ") for one in mutants_of("m.py", ast.parse(source))]


def test_each_fault_is_named_by_its_place_and_words():
    assert changes() == [
        "module: 3 -> 4",
        "module: 3 -> 2",
        "module: True -> False",
        "Gate.lets: self.wide and size < LIMIT -> self.wide or size < LIMIT",
        "Gate.lets: self.wide and size < LIMIT -> not (self.wide and size < LIMIT)",
        "Gate.lets: self.wide and size < LIMIT -> self.wide and size <= LIMIT",
        "Gate.lets: self.wide and size < LIMIT -> self.wide and size >= LIMIT",
        "Gate.lets: raise ValueError('narrow') -> pass",
        "Gate.lets: return 'yes' -> return None",
        "Gate.lets: 'yes' -> ''",
    ]


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[ModuleType]:
    """The module above, imported, and a second one that has its names."""
    for name in ("tests.first_of_two", "tests.second_of_two"):
        monkeypatch.setitem(sys.modules, name, ModuleType(name))
    first = sys.modules["tests.first_of_two"]
    exec(compile(SOURCE, "m.py", "exec"), vars(first))  # noqa: S102 - the text above
    vars(sys.modules["tests.second_of_two"]).update(Gate=first.Gate, LIMIT=first.LIMIT)
    return first


def put(gate: ModuleType, words: str) -> None:
    """Put the mutant with these words into the module."""
    tree = ast.parse(SOURCE)
    [mutant] = [one for one in mutants_of("m.py", tree) if one.name.endswith(words)]
    put_in(gate, mutant.compiled(tree))
    assert ast.dump(tree) == ast.dump(ast.parse(SOURCE)), "the tree is as before"


def test_a_changed_function_reaches_an_object_that_was_there_before(gate: ModuleType):
    made = gate.Gate()
    with pytest.raises(ValueError, match="narrow"):
        made.lets(2)
    put(gate, "size >= LIMIT")
    assert made.lets(2) == "yes"


def test_a_changed_constant_reaches_a_module_that_imported_it(gate: ModuleType):
    put(gate, "3 -> 4")
    assert (gate.LIMIT, vars(sys.modules["tests.second_of_two"])["LIMIT"]) == (4, 4)


def test_a_changed_class_stays_the_class_that_others_hold(gate: ModuleType):
    held = vars(sys.modules["tests.second_of_two"])["Gate"]
    put(gate, "True -> False")
    assert gate.Gate is held
    assert held().lets(2) == "yes"


def test_what_is_made_of_a_changed_constant_is_made_again():
    source = "assistant/conversation/cages.py"
    tree = ast.parse((ROOT / source).read_text("utf-8"))
    [mutant] = [one for one in mutants_of(source, tree) if one.after.find("'': recaught") > 0]

    def made_again(write: int) -> None:
        put_in(module_of(source), mutant.compiled(tree))
        if "recaught" not in machine._BY_KIND:  # noqa: SLF001 - a table made of others
            os.write(write, b"gone")

    assert in_a_fork(made_again) == (Outcome.KILLED, "gone")


def test_what_is_made_of_a_constant_beside_it_is_made_again_too():
    source = "assistant/dosing/dilution.py"
    tree = ast.parse((ROOT / source).read_text("utf-8"))
    [mutant] = [one for one in mutants_of(source, tree) if one.defines == ("_NUMBER",)]

    def made_again(write: int) -> None:
        put_in(module_of(source), mutant.compiled(tree))
        if not dilution._COLON.fullmatch("1 : 10"):  # noqa: SLF001 - made of the number's pattern
            os.write(write, b"gone")

    assert in_a_fork(made_again) == (Outcome.KILLED, "gone")


def test_only_a_test_that_fails_kills():
    def fails(write: int) -> None:
        os.write(write, b"a test")

    assert in_a_fork(lambda _: None) == (Outcome.SURVIVED, "")
    assert in_a_fork(fails) == (Outcome.KILLED, "a test")


@pytest.mark.parametrize(
    ("source", "constant", "made", "name"),
    [
        ("assistant/dosing/limits.py", "_NOTHING", limits.over_crop, "before_ml"),
        ("assistant/dosing/kit.py", "SPARE_PERCENT", kit.Kit.__init__, "spare_percent"),
    ],
)
def test_a_default_is_made_again_of_a_changed_constant(
    source: str, constant: str, made: Callable[..., object], name: str
):
    tree = ast.parse((ROOT / source).read_text("utf-8"))
    mutant = next(one for one in mutants_of(source, tree) if one.defines == (constant,))
    before = inspect.signature(made).parameters[name].default

    def made_again(write: int) -> None:
        put_in(module_of(source), mutant.compiled(tree))
        if inspect.signature(made).parameters[name].default == before + 1:
            os.write(write, b"made again")

    assert in_a_fork(made_again) == (Outcome.KILLED, "made again")


def test_a_test_that_hangs_leaves_the_word_to_those_after_it():
    begun = Begun()

    def judge(names: list[str], write: int) -> None:
        for place, name in enumerate(names):
            begun.note(place)
            if name == "hangs":
                os.kill(os.getpid(), signal.SIGPROF)
            if name == "fails":
                os.write(write, b"fails")

    found = verdict_of(["passes", "hangs", "fails"], judge, begun)
    assert found == (Outcome.KILLED, "fails")
    for names in (["hangs", "passes"], ["passes", "hangs"], ["hangs", "hangs", "fails"]):
        assert verdict_of(names, judge, begun) == (Outcome.TIMED_OUT, "")


def test_every_equivalent_is_a_mutant_and_has_a_reason():
    every: list[Mutant] = []
    for source in sources(PACKAGES):
        every += mutants_of(source, ast.parse((ROOT / source).read_text("utf-8")))
    listed = equivalents()
    gone = set(listed) - {one.name for one in every}
    assert not gone, "the code has changed: take these lines out of equivalent.txt"
    assert all(listed.values())
