"""What is shown leads to the key: the lines of every sizing topic are counted again from their words alone."""

import math
import re

import pytest

from gigsums.practice import TOPICS
from practice import reading
from practice.proofs import drawn


def inputs_by_kind(asked):
    found = reading.pickups(asked.facts)
    talkback = asked.facts[-1]
    mics = sum(p.channels for p in found if not p.line_level)
    mics += not ("input of its own" in talkback or "not wanted" in talkback)
    return (
        mics,
        sum(p.line_level and not p.stereo for p in found),
        sum(p.line_level and p.stereo for p in found),
    )


def monitor_mixes(asked):
    mixes = reading.monitors(asked.facts)
    return len(mixes), sum(m.width for m in mixes) + reading.effects(asked.facts)


def bus_pairs(asked):
    widths = [m.width for m in reading.monitors(asked.facts)]
    # a drum fill with a send for the sub is two mono sends, not a pair
    fill_sends = sum("each with a send of its own" in fact for fact in asked.facts)
    pre_stereo = widths.count(2) - fill_sends
    pre_mono = widths.count(1) + 2 * fill_sends
    post_stereo = sum(fact.startswith("Stream") for fact in asked.facts)
    post_mono = reading.effects(asked.facts) + sum(fact.startswith("Subs") for fact in asked.facts)
    have = int(re.search(r"has (\d+) buses", asked.scene)[1]) // 2
    taken = pre_stereo + math.ceil(pre_mono / 2) + post_stereo + math.ceil(post_mono / 2)
    return taken, 2 * (have - taken) + pre_mono % 2


def sockets_and_channels(asked):
    found = reading.pickups(asked.facts)
    talkback = 0 if "talkback has an input of its own" in asked.scene else 1
    narrow = "one channel that carries both sides" in asked.scene
    back = {"on a return of its own": 0, "on two channels": 2, "on one channel": 1}
    returns = next(n for words, n in back.items() if f"comes back {words}" in asked.scene)
    channels = sum(1 if p.stereo and narrow else p.channels for p in found)
    return sum(p.cables for p in found) + talkback, channels + talkback + returns * reading.effects(
        asked.facts
    )


def outputs_by_place(asked):
    stage = desk = 0
    for fact in asked.facts:
        subject, _, rest = fact.partition(": ")
        if subject == "Mains":
            stage += {"mono": 1, "left and right": 2, "left, centre and right": 3}[rest]
        elif reading.is_monitor(fact):
            stage += reading.monitor(fact).width
        elif "linked through" in rest or "inside the desk" in rest:
            continue
        else:
            width = 2 if rest.startswith("stereo") else 1
            stage += width * ("on the stage" in rest)
            desk += width * ("at the desk" in rest or "beside the desk" in rest)
    return stage, desk


def equaliser_channels(asked):
    wanted = 2 + sum(m.width for m in reading.monitors(asked.facts))
    wanted += sum(2 if "stereo" in fact else 1 for fact in asked.facts if "to be equalised" in fact)
    at_hand = sum(int(n) for n in re.findall(r"(\d+) (?:of the desk's|channels of equaliser)", asked.scene))
    return wanted, max(0, wanted - at_hand)


def inserts_and_units(asked):
    found = reading.pickups(asked.facts)
    return (
        sum(p.channels for p in found if p.compressor),
        sum(p.channels for p in found if p.gate),
        sum(p.channels for p in found if p.gate or p.compressor),
    )


def effects_on_a_desk(asked):
    made = re.search(r"makes the first(?: (\w+))? itself", asked.scene)
    inside = 0 if made is None else reading.WORD[made[1] or "one"]
    buses = channels = outputs = 0
    for place, fact in enumerate(asked.facts):
        width = 2 if ": stereo" in fact else 1
        beside = place >= inside
        outputs += beside
        buses += beside or "is fed from one of the buses" in asked.scene
        too_short = "reaches the mains and nothing else" in asked.scene and "ears" in fact
        own = "on a return of its own" in asked.scene and not too_short
        channels += width if beside or not own else 0
    return buses, channels, outputs


def what_is_short(asked):
    stage = [fact.removeprefix("Monitors - ") for fact in asked.facts if fact.startswith("Monitors - ")]
    rest = tuple(fact for fact in asked.facts if not fact.startswith("Monitors - "))
    mixes, sends = reading.monitors(stage), reading.effects(rest)
    cables = sum(p.cables for p in reading.pickups(rest))
    width = sum(m.width for m in mixes)
    stereo = sum("in stereo" in fact for fact in stage)
    pairs = stereo + math.ceil((width - 2 * stereo) / 2) + math.ceil(sends / 2)
    taken = {"sockets": cables, "channels": cables, "buses": width + sends, "outputs": width + 2}
    have = {kind: int(re.search(rf"(\d+) (?:input )?{kind}", asked.scene)[1]) for kind in taken}
    short = [(kind, number) for kind, number in taken.items() if number > have[kind]]
    if not short and pairs > have["buses"] // 2:
        short = [("pairs", pairs)]
    assert len(short) <= 1
    return short[0] if short else ("nothing", 0)


def will_it_fit(asked):
    have = int(re.search(r"has (\d+) buses", asked.scene)[1])
    mixes = reading.monitors(asked.facts)
    wanted = sum(m.width for m in mixes) + reading.effects(asked.facts)
    willing = sum("mono would do" in fact for fact in asked.facts)
    if wanted <= have:
        return "fits", 0, wanted
    if wanted - have <= willing:
        return "fits with changes", wanted - have, have
    return "does not fit", 0, wanted


COUNTS = {
    "inputs by kind": inputs_by_kind, "monitor mixes": monitor_mixes, "bus pairs": bus_pairs,
    "sockets and channels": sockets_and_channels, "outputs by place": outputs_by_place,
    "equaliser channels": equaliser_channels, "inserts and units": inserts_and_units,
    "effects on a desk": effects_on_a_desk,
    "what is short": what_is_short,
    "will it fit": will_it_fit,
}  # fmt: skip


def test_every_sizing_topic_is_counted_again():
    assert set(COUNTS) == {name for name, topic in TOPICS.items() if topic.skill == "gig sizing"}


@pytest.mark.parametrize("level", [1, 2, 3])
@pytest.mark.parametrize("topic", COUNTS)
def test_the_words_lead_to_the_answer(topic, level):
    for seed in range(40):
        asked = drawn(topic, seed, level)
        assert COUNTS[topic](asked) == asked.answer.values, asked.text()


@pytest.mark.thorough
@pytest.mark.parametrize("topic", COUNTS)
def test_the_words_lead_to_the_answer_a_thousand_times(topic):
    for seed in range(1000):
        asked = drawn(topic, seed)
        assert COUNTS[topic](asked) == asked.answer.values, asked.text()
