from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from assistant.language.phones import arpabet

CMUDICT = """
    AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y
    Z ZH
"""
PHONES = frozenset(CMUDICT.split())
ENGLISH = """
    p b t d k ɡ f v θ ð s z ʃ ʒ tʃ dʒ h m n ŋ l ɹ j w iː i ɪ ᵻ ɛ æ a ɑː ɒ ɔː ɔ ʊ uː ʌ ə ɐ ɜː ɚ eɪ aɪ
    ɔɪ aʊ oʊ əʊ
"""
SOUNDS = ENGLISH.split()


@given(st.text() | st.text(alphabet="ˈˌː:_ ()aɪɚəɹnlɑ̃tʃ"))
def test_any_text_gives_phones_of_the_set_or_none(text: str):
    phones = arpabet(text)
    assert phones is None or (phones and set(phones.split()) <= PHONES)


@given(st.lists(st.sampled_from(SOUNDS), min_size=1))
def test_known_sounds_always_give_phones(sounds: list[str]):
    assert arpabet("_".join(sounds))


@given(st.lists(st.sampled_from(SOUNDS), min_size=1))
def test_each_sound_gives_one_phone_save_an_r_or_a_y_that_joins_its_neighbour(sounds: list[str]):
    phones = (arpabet("_".join(sounds)) or "").split()
    assert len(sounds) - sum(one in {"ɹ", "j"} for one in sounds) <= len(phones) <= len(sounds)
