"""Text to words, whatever a keyboard or an engine brings."""

from __future__ import annotations

import pytest

from assistant.language.tokens import is_too_long, tokens


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Cockatiel, 95g!", "cockatiel 95 g"),
        ("cockatiel ninety-five grams", "cockatiel ninety five grams"),
        ("0.4kg .4 kg", "0.4 kg .4 kg"),
        ("1,200 g", "1,200 g"),
        ("2lb8oz", "2 lb 8 oz"),
        ("62g.", "62 g"),
        ("bourke’s parrot", "bourke's parrot"),
        ("'budgie 30 g'", "budgie 30 g"),
        ("budgie (30 g); now", "budgie 30 g now"),
        ("budgie – 30 g", "budgie 30 g"),
        ("11½ oz", "11 and a half oz"),
        ("11 1/2 oz", "11 and a half oz"),
        ("½ kg", "half a kg"),
        ("3/4 lb", "three quarters of a lb"),
        ("1/2 kg", "half a kg"),
        ("1/4 lb", "a quarter of a lb"),
        ("¼ lb", "a quarter of a lb"),
        ("¾ kg", "three quarters of a kg"),
        ("11¼ oz", "11 and a quarter oz"),
        ("11 3/4 oz", "11 and three quarters oz"),
        ("cockatiel\t95", "cockatiel 95"),
        ("blue & gold", "blue and gold"),
        ("ＣＯＣＫＡＴＩＥＬ", "ｃｏｃｋａｔｉｅｌ"),
        ("cafe\u0301", "café"),
    ],
)
def test_text_becomes_words(text: str, found: str):
    assert tokens(text) == tuple(found.split())


@pytest.mark.parametrize("text", ["-95", "−95", "–95", "x -95", "-.5", "-1,200"])
def test_a_minus_stays_with_its_figure(text: str):
    assert tokens(text)[-1][0] == "-"


@pytest.mark.parametrize("text", ["cockatiel-95", "cockatiel - 95", "ninety-five"])
def test_a_hyphen_or_dash_is_no_minus(text: str):
    assert not any(word.startswith("-") for word in tokens(text))


@pytest.mark.parametrize(
    "text", ["95/96", "90-95", "10^9", "1e9", "1.5e3", "95,5", "95.5.5", "1:10", "1/2/26"]
)
def test_a_figure_oddly_written_stays_one_word(text: str):
    assert tokens(f"cockatiel {text} grams") == ("cockatiel", text, "grams")


def test_control_characters_count_as_spaces():
    assert tokens("cockatiel\x0095\x07g\x1b[0m\u202e") == ("cockatiel", "95", "g", "0", "m")


@pytest.mark.parametrize("text", ["", "   ", "\t\r\n", "...", "?!", "\x00\x01", "\ufeff", '"'])
def test_nothing_said_is_no_word(text: str):
    assert tokens(text) == ()


def test_other_scripts_and_signs_are_kept_as_words():
    assert tokens("кокатиэль 玄凤鹦鹉 왕관앵무 ٩٥ 🐦") == (
        "кокатиэль",
        "玄凤鹦鹉",
        "왕관앵무",
        "٩٥",
        "🐦",
    )


def test_only_a_text_longer_than_a_breath_is_too_long():
    assert not is_too_long("x" * 300)
    assert is_too_long("x" * 301)
