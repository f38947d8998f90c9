from __future__ import annotations

import pytest

from assistant.language.phones import arpabet, pronunciations

# The 39 examples of the README of CMUdict 0.7, each with its phones as listed there without stress
# ("thee" and "zee" as they are listed).  The IPA beside them is that of the CMUSphinx wiki, page
# "cmubet", with the stress mark and the length mark where espeak-ng 1.52 sets them.
EXAMPLES = [
    ("odd", "ˈɑː_d", "AA D"),
    ("at", "ˈæ_t", "AE T"),
    ("hut", "h_ˈʌ_t", "HH AH T"),
    ("ought", "ˈɔː_t", "AO T"),
    ("cow", "k_ˈaʊ", "K AW"),
    ("hide", "h_ˈaɪ_d", "HH AY D"),
    ("be", "b_ˈiː", "B IY"),
    ("cheese", "tʃ_ˈiː_z", "CH IY Z"),
    ("dee", "d_ˈiː", "D IY"),
    ("thee", "ð_ˈiː", "DH IY"),
    ("Ed", "ˈɛ_d", "EH D"),
    ("hurt", "h_ˈɜː_t", "HH ER T"),
    ("ate", "ˈeɪ_t", "EY T"),
    ("fee", "f_ˈiː", "F IY"),
    ("green", "ɡ_ɹ_ˈiː_n", "G R IY N"),
    ("he", "h_ˈiː", "HH IY"),
    ("it", "ˈɪ_t", "IH T"),
    ("eat", "ˈiː_t", "IY T"),
    ("gee", "dʒ_ˈiː", "JH IY"),
    ("key", "k_ˈiː", "K IY"),
    ("lee", "l_ˈiː", "L IY"),
    ("me", "m_ˈiː", "M IY"),
    ("knee", "n_ˈiː", "N IY"),
    ("ping", "p_ˈɪ_ŋ", "P IH NG"),
    ("oat", "ˈoʊ_t", "OW T"),
    ("toy", "t_ˈɔɪ", "T OY"),
    ("pee", "p_ˈiː", "P IY"),
    ("read", "ɹ_ˈiː_d", "R IY D"),
    ("sea", "s_ˈiː", "S IY"),
    ("she", "ʃ_ˈiː", "SH IY"),
    ("tea", "t_ˈiː", "T IY"),
    ("theta", "θ_ˈeɪ_ɾ_ə", "TH EY T AH"),
    ("hood", "h_ˈʊ_d", "HH UH D"),
    ("two", "t_ˈuː", "T UW"),
    ("vee", "v_ˈiː", "V IY"),
    ("we", "w_ˈiː", "W IY"),
    ("yield", "j_ˈiː_l_d", "Y IY L D"),
    ("zee", "z_ˈiː", "Z IY"),
    ("seizure", "s_ˈiː_ʒ_ɚ", "S IY ZH ER"),
]

# Phonemes as espeak-ng 1.52 writes them; the phones are the entries of CMUdict 0.7, in the copy
# that pocketsphinx carries.
LISTED = [
    ("button", "b_ˈʌ_ʔ_n̩", "B AH T AH N"),
    ("little", "l_ˈɪ_ɾ_əl", "L IH T AH L"),
    ("hurry", "h_ˈɜː_ɹ_i", "HH ER IY"),
    ("fire", "f_ˈaɪɚ", "F AY ER"),
    ("north", "n_ˈɔːɹ_θ", "N AO R TH"),
    ("canary", "k_ə_n_ˈeə_ɹ_i", "K AH N EH R IY"),
    ("general", "dʒ_ˈɛ_n_ə_ɹ_əl", "JH EH N ER AH L"),
    ("formulate", "f_ˈɔːɹ_m_j_ʊ_l_ˌeɪ_t", "F AO R M Y AH L EY T"),
    ("bach", "b_ˈɑː_x", "B AA K"),
    ("fonts", "f_ˈɔ_n_t_s", "F AA N T S"),
    ("hotshot", "h_ˈɑː_t_ʃ_ˌɑː_t", "HH AA T SH AA T"),
]

# Sounds that the lists above leave out and each rule at its line, by the tables of the module.
FURTHER = [
    ("ear before r", "n_ˈiə_ɹ_ə_s_t", "N IH R AH S T"),
    ("near before r", "n_ˈɪə_ɹ_ə_s_t", "N IH R AH S T"),
    ("tour before r", "t_ˈʊə_ɹ_ɪ_s_t", "T UH R IH S T"),
    ("tour", "t_ˈʊə", "T UH AH"),
    ("a before r", "k_ˈæ_m_ɐ_ɹ_ə", "K AE M ER AH"),
    ("chew", "tʃ_j_ˈuː", "CH UW"),
    ("shoe", "ʃ_j_ˈuː", "SH UW"),
    ("june", "dʒ_j_ˈuː_n", "JH UW N"),
    ("true", "t_ɹ_j_ˈuː", "T R UW"),
    ("jury", "dʒ_j_ˈʊ_ɹ_i", "JH UH R IY"),
    ("few keeps its y", "f_j_ˈuː", "F Y UW"),
    ("shah with a y keeps it", "ʃ_j_ˈɑː", "SH Y AA"),
    ("zero with a y", "ɹ_j_ˈiː", "R Y IY"),
    ("long o before n", "f_ˈɔː_n", "F AO N"),
    ("short o before t", "f_ˈɔ_t", "F AO T"),
    ("length of the one before", "ɑːɹ", "AA R"),
    ("length of the other", "ɔnː", "AA N"),
    ("stress by either mark", "ˌɪ_ə", "IH AH"),
    ("no stress at all", "ɪ_ə", "IY AH"),
    ("another language", "(de)b_ˈɑː_x(en-us)", "B AA K"),
    ("another language in one", "b_ˈɑː(de)x", "B AA K"),
    ("bull", "f_ʊ_l", "F AH L"),
    ("stressed bull", "f_ˈʊ_l", "F UH L"),
]


@pytest.mark.parametrize(("name", "phonemes", "phones"), FURTHER)
def test_each_rule_at_its_line(name: str, phonemes: str, phones: str):
    assert arpabet(phonemes) == phones, name


# What an ear trained on Americans hears of a British voice: no source, but the IPA Handbook's
# description of the sounds, from memory.
BRITISH = [
    ("grass", "ɡ_ɹ_ˈɑː_s", "G R AA S"),
    ("lot", "l_ˈɒ_t", "L AO T"),
    ("goat", "ɡ_ˈəʊ_t", "G OW T"),
    ("father", "f_ˈɑː_ð_ə", "F AA DH AH"),
    ("square", "s_k_w_ˈeə", "S K W EH AH"),
    ("budgie", "b_ˈʌ_dʒ_ɪ", "B AH JH IY"),
    ("quarrion", "k_w_ˈɒ_ɹ_iə_n", "K W AO R IY AH N"),
]


@pytest.mark.parametrize(("word", "phonemes", "phones"), EXAMPLES + LISTED + BRITISH)
def test_phonemes_become_the_phones_of_cmudict(word: str, phonemes: str, phones: str):
    assert arpabet(phonemes) == phones, word


def test_the_examples_show_each_of_the_39_phones():
    assert len({phone for _, _, phones in EXAMPLES for phone in phones.split()}) == 39


@pytest.mark.parametrize("phonemes", ["", " ", "_", "(fr)", "k_ˈæ_ǃ_t", "!", "ˈ", "ː"])
def test_what_is_not_known_to_the_last_sound_has_no_phones(phonemes: str):
    assert arpabet(phonemes) is None


def test_a_change_of_language_inside_a_word_is_passed_over():
    assert arpabet("(fr)b_ˈɔ̃(en-us) b_ˈɜː_d") == "B AO N B ER D"


def test_accents_that_sound_alike_give_one_pronunciation():
    assert pronunciations(["ɡ_ɹ_ˈæ_s", "ɡ_ɹ_ˈa_s", "ɡ_ɹ_ˈɑː_s"]) == ("G R AE S", "G R AA S")


def test_an_accent_with_an_unknown_sound_is_left_out():
    assert pronunciations(["k_ǃ", "k_ˈiː"]) == ("K IY",)
