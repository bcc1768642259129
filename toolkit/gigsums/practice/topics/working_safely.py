"""Earth, RCD, limiters, lifting, alarm: questions with one safe choice, drawn from the house's own, safety.toml."""

from __future__ import annotations

from gigsums.gig import BadFile

from ..drawing import Draw, draw_evening
from ..problems import Draft, NamedSlip, Part, RightAnswer
from ..safety import SafetyQuestion, house_safety, questions_in
from ..topic import Topic
from ..wording import in_words, sentence

LETTERS = ("a", "b", "c")
AGAIN = "Who is hurt by it, and when? Look for the choice in which nobody is."


def draw_choices(draw: Draw, asked: SafetyQuestion) -> list[str]:
    """Three choices in an order of chance: one right, one dangerous where there is any, and one more."""
    right, sharp = draw.pick(asked.right), [draw.pick(asked.dangerous)] if asked.dangerous else []
    rest = [each for each in (*asked.wrong, *asked.dangerous) if each not in sharp]
    return draw.some([right, *sharp, *draw.some(rest, 2 - len(sharp))], 3)


def build(draw: Draw, level: int) -> Draft:
    """A draft of a draw; as many questions as the level."""
    file, text = house_safety()
    able = [
        each for each in questions_in(file, text) if each.right and len((*each.wrong, *each.dangerous)) > 1
    ]
    if len(able) < level:
        raise BadFile(
            file,
            "question",
            f"{len(able)} can be drawn, and {level} are wanted.",
            "Give each two choices besides.",
        )
    asked = draw.some(able, level)
    choices = [draw_choices(draw, each) for each in asked]
    key = tuple(
        LETTERS[next(n for n, choice in enumerate(here) if choice in each.right)]
        for each, here in zip(asked, choices, strict=True)
    )
    names = [f"question {n}" for n in range(1, level + 1)]
    facts, slips, workings = [], [], []
    for n, (each, here) in enumerate(zip(asked, choices, strict=True)):
        number = str(n + 1) if level > 1 else ""
        facts += [f"{n + 1}: {each.asks}"] if level > 1 else []
        facts += [f"{number}{letter}: {choice}" for letter, choice in zip(LETTERS, here, strict=True)]
        for letter, choice in zip(LETTERS, here, strict=True):
            if choice not in each.right:
                hint = f"Dangerous. {each.caution or AGAIN}" if choice in each.dangerous else AGAIN
                slips.append(
                    NamedSlip(f"{sentence(each.key)}: “{choice}”", (*key[:n], letter, *key[n + 1 :]), hint)
                )
        workings.append(
            f"{sentence(each.key)} - {here[LETTERS.index(key[n])]}{f'. {each.caution}' if each.caution else ''}"
        )
    _, opening = draw_evening(draw)
    return Draft(
        shown={"questions": [each.key for each in asked], "choices": choices},
        scene=f"{opening} One of three choices is safe{', for each question' if level > 1 else ''}.",
        facts=tuple(facts),
        question=asked[0].asks if level == 1 else f"What do you answer to the {in_words(level)}?",
        answer=RightAnswer(tuple(Part(letter, choices=LETTERS, name=name) for letter, name in zip(key, names, strict=True))),
        workings=(*workings, f"Safe: {'; '.join(key)}."),
        slips=tuple(slips),
        nudge=AGAIN,
        caution="Local rules and licensed people come first, whatever is safe on paper.",
    )  # fmt: skip


TOPICS = (Topic("working safely", "safety", 1, build, least_slips=2),)
