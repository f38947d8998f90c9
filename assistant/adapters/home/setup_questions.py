"""What setup asks for, and how an answer becomes a value of the keeper's file."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final, TypeAlias

from assistant.adapters.terminal.asking import needed
from assistant.dosing.dilution import Dilution

Value: TypeAlias = "str | bool | int | Decimal | list[Value] | dict[str, Value]"


@dataclass(frozen=True, slots=True)
class Asked:
    """One question: the key it fills, the words, and how an answer becomes the key's value.

    `shape` gives None where the answer leaves the key out, and raises ValueError for an answer
    that cannot be used.  `comment` stands above the key in the file; `example` is a value to show
    there, commented out, where the key has none.
    """

    key: str
    question: str
    shape: Callable[[str], Value | None]
    comment: str
    example: str = ""
    default: str = ""


def optional(answer: str) -> Value | None:
    """The text, or nothing."""
    return answer or None


def number(answer: str) -> Value | None:
    """A plain number, or nothing."""
    if not answer:
        return None
    try:
        return Decimal(answer)
    except InvalidOperation as error:
        raise ValueError(f"“{answer}” is not a number.") from error


def yes_or_no(answer: str) -> Value:
    """A whole yes or no."""
    if answer.casefold() not in {"yes", "no"}:
        raise ValueError("Type yes or no, the whole word.")
    return answer.casefold() == "yes"


def names(answer: str) -> Value | None:
    """Names between commas, or nothing."""
    return [name.strip() for name in answer.split(",") if name.strip()] or None


def parts(answer: str) -> Value:
    """A dilution as its parts; the colon form is refused with both its readings."""
    dilution = Dilution.parse(answer)
    return {"product": dilution.product, "water": dilution.water}


def whole(answer: str) -> Value | None:
    """A whole number, or nothing."""
    if not answer:
        return None
    if re.fullmatch(r"\d{1,4}", answer) is None:
        raise ValueError(f"“{answer}” is not a whole number.")
    return int(answer)


def window(answer: str) -> Value | None:
    """The earliest and the latest day, or one day that is both, or nothing."""
    if not answer:
        return None
    found = re.fullmatch(r"(\d{1,4})(?:(?: ?(?:to|-|–|,) ?| )(\d{1,4}))?(?: days?)?", answer)
    if found is None:
        raise ValueError(f"“{answer}” is not a window of days. Write it as in: 10 to 14")
    return [int(found[1]), int(found[2] or found[1])]


def syringes(answer: str) -> Value:
    """Syringes as what each holds / its marks, between commas."""
    return [_syringe(one) for one in _listed(answer)]


def needles(answer: str) -> Value:
    """Needles as gauge x length, between commas; the first is the one in use."""
    found = [_needle(one) for one in _listed(answer)]
    found[0]["default"] = True
    return list(found)


def cautions(answer: str) -> Value | None:
    """Cautions as bird: what to say, between semicolons, or nothing."""
    found: list[Value] = []
    for one in filter(None, (part.strip() for part in answer.split(";"))):
        bird, colon, say = (part.strip() for part in one.partition(":"))
        if not (bird and colon and say):
            raise ValueError(f"“{one}”: write a species or group: what the label says about it")
        found.append({"for": bird, "say": say})
    return found or None


def _listed(answer: str) -> Iterable[str]:
    found = [one.strip() for one in needed(answer).split(",") if one.strip()]
    if not found:
        raise ValueError("Name one at least.")
    return found


def _syringe(text: str) -> Value:
    capacity, slash, graduation = (one.strip() for one in text.partition("/"))
    if not slash:
        raise ValueError(f"“{text}”: write what it holds / from mark to mark in mL, as in 1/0.01")
    return {"capacity": _with_unit(capacity, "mL"), "graduation": _with_unit(graduation, "mL")}


def _needle(text: str) -> dict[str, Value]:
    found = re.fullmatch(r"(\d{1,2})(?: ?gauge)? ?[x×] ?(.+)", text)
    if found is None:
        raise ValueError(f"“{text}”: write gauge x length in mm, as in 14 x 75")
    return {"gauge": int(found[1]), "length": _with_unit(found[2], "mm")}


def _with_unit(text: str, unit: str) -> str:
    return f"{text} {unit}" if re.fullmatch(r"[0-9.]+", text) else text


KIT: Final = (
    Asked("keeper", "Your name", needed, "Your name, for the register."),
    Asked(
        "scale_step",
        "The step of your scale",
        needed,
        "The step of your scale: the smallest change it shows.",
        default="1 g",
    ),
    Asked(
        "keep_recordings",
        "Keep recordings of what you say, to learn how well you are heard? They stay on this\n"
        "machine, and dosewren recordings --delete removes them (yes or no)",
        yes_or_no,
        "true keeps recordings of what you say in the folder recordings; nothing leaves this\n"
        "machine.  They are what dosewren measure works on.",
        default="no",
    ),
    Asked(
        "attention",
        "A word of your own to begin each spoken order with, so that other talk is not taken for\n"
        "one: two syllables or more, and one that you never say otherwise (Enter for none)",
        optional,
        "Spoken orders have to begin or end with this word.  Typed ones never need it.",
        '"marlow"',
    ),
    Asked(
        "holding",
        "Where the birds are, name or address, for the records (Enter to leave it out)",
        optional,
        "Where the birds are, for the head of the records.",
        '"a name or an address"',
    ),
    Asked(
        "vet",
        "Your vet, for the records (Enter to leave it out)",
        optional,
        "Your vet, for the head of the records.",
        '"a name"',
    ),
    Asked(
        "droppings_every_days",
        "After how many days to check droppings for worm eggs again (Enter for no reminder)",
        whole,
        "After how many days droppings are to be checked again for worm eggs; 182 is half a year.",
        "182",
    ),
    Asked(
        "syringe",
        "Your syringes in mL, each as what it holds / from mark to mark, as in 1/0.01, 2.5/0.1",
        syringes,
        "Your syringes: what each holds, and the volume from one mark to the next.",
    ),
    Asked(
        "needle",
        "Your crop needles, the usual one first, each as gauge x length in mm, as in 14 x 75",
        needles,
        "Your crop needles; default = true marks the one in use: move it when you change.\n"
        'If you measure what one holds, add to it for example: measured = "0.20 mL"',
    ),
)

MEDICINE: Final = (
    Asked("name", "Its name on the label", needed, "The name on the label.", '"a name"'),
    Asked(
        "spoken",
        "What you call it aloud; several names with commas (Enter for the name itself)",
        names,
        "What you call it aloud.",
        '["one name", "another"]',
    ),
    Asked("active", "Its active ingredient", needed, "What is in it.", '"an active"'),
    Asked(
        "strength",
        "Its strength as it comes, as in 25 mg/mL or 2.5 % (Enter if the label gives none)",
        optional,
        "How strong the product is as it comes from the bottle.",
        '"25 mg/mL"',
    ),
    Asked(
        "dose",
        "The label's dose, as in 0.5 mL/kg of the product as it comes, or 20 mg/kg",
        needed,
        'The label\'s dose: undiluted product per body mass ("0.5 mL/kg"), or mg per body mass.',
        '"0.5 mL/kg"',
    ),
    Asked(
        "dose_is_maximum",
        "Does the label call this a maximum? (yes or no)",
        yes_or_no,
        "true where the label gives a most, never to be passed by rounding.",
        "false",
    ),
    Asked(
        "dilution",
        "How you dilute it: 1 + 9 is one part product and nine parts water; or neat, if undiluted",
        parts,
        "Parts of product and parts of water.",
        "{ product = 1, water = 9 }",
    ),
    Asked(
        "safety_multiple",
        "At how many times the dose harm begins (Enter if the label does not say)",
        number,
        "At how many times the label's dose harm begins: a limit that no answer passes.",
        "2",
    ),
    Asked(
        "form",
        "Is it a suspension (to be shaken) or a solution?",
        needed,
        '"suspension" (shaken before each draw) or "solution".',
        '"suspension"',
    ),
    Asked(
        "storage",
        "How the made-up stock is kept (Enter if the label does not say)",
        optional,
        "How the made-up stock is kept.",
        '"cool and dark"',
    ),
    Asked(
        "keeps_days",
        "For how many days the made-up stock keeps (Enter if the label does not say)",
        number,
        "For how many days the made-up stock keeps.",
        "1",
    ),
    Asked(
        "next_dose_days",
        "The next dose: earliest and latest day after this one, as in 10 to 14 (Enter if none)",
        window,
        "The next dose: the earliest and the latest day after this one.",
        "[10, 14]",
    ),
    Asked(
        "course_doses",
        "How many doses a course has, the first one counted (Enter if the label does not say)",
        whole,
        "How many doses a course has, the first one counted.",
        "2",
    ),
    Asked(
        "route",
        "Is it given by mouth or into the crop? (mouth or crop)",
        needed,
        'By "mouth" or into the "crop"; nothing else is worked out.',
        '"crop"',
    ),
    Asked(
        "cautions",
        "Birds that must not have it, as in pigeon: the label says never; with semicolons "
        "between (Enter if none)",
        cautions,
        "Birds that must not have it, by species or group.",
        '[{ for = "a species or group", say = "what the label says" }]',
    ),
    Asked(
        "withdrawal_eggs_days",
        "The withdrawal period for eggs: for how many days after a dose they are not to be\n"
        "eaten, 0 if the label asks for none (Enter if not known: then not for birds whose eggs\n"
        "people eat)",
        whole,
        "The withdrawal period for eggs, in days; 0 where the label asks for none.",
        "7",
    ),
    Asked(
        "withdrawal_meat_days",
        "The withdrawal period for meat, in days (Enter if not known)",
        whole,
        "The withdrawal period for meat, in days; 0 where the label asks for none.",
        "14",
    ),
    Asked(
        "reason",
        "What it is given for, for the records (Enter to leave it out)",
        optional,
        "What it is given for, for the records.",
        '"roundworm"',
    ),
    Asked(
        "prescribed_by",
        "Who prescribed it, for the records (Enter if nobody did)",
        optional,
        "Who prescribed it, for the records.",
        '"the vet\'s name"',
    ),
    Asked(
        "source",
        "Where these figures come from: label, date, or your vet",
        needed,
        "Where these figures come from.",
        '"the label, and its date"',
    ),
)
