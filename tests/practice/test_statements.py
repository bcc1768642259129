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


def _monitor_lines(asked):
    """The lines about monitors of a problem that lists other things too, and the lines left over."""
    mark = "Monitors - "
    stage = [fact.removeprefix(mark) for fact in asked.facts if fact.startswith(mark)]
    return stage, tuple(fact for fact in asked.facts if not fact.startswith(mark))


def talkback(asked):
    stage, rest = _monitor_lines(asked)
    mixes = reading.monitors(stage)
    wanted = len(mixes) > 1 or any("in-ears" in fact for fact in stage)
    mics = sum(p.channels for p in reading.pickups(rest) if not p.line_level)
    if not wanted:
        return "not wanted", mics, 0
    own = "The desk's talkback has an input of its own" in asked.scene
    return "wanted", mics + (not own), sum(m.width for m in mixes)


def spares(asked):
    stage, rest = _monitor_lines(asked)
    mixes = reading.monitors(stage)
    inputs = sum(p.cables for p in reading.pickups(rest)) + 1
    outputs = 2 + sum(m.width for m in mixes)
    buses = outputs - 2 + reading.effects(rest)
    free = (
        1 if inputs <= 8 else max(2, math.ceil(inputs / 10)),
        math.ceil(outputs / 8),
        1 if len(mixes) >= 4 else 0,
    )
    have = [
        int(n)
        for n in re.search(r"has (\d+) input sockets.*?(\d+) outputs and (\d+) buses", asked.scene).groups()
    ]
    taken = (inputs, outputs, buses)
    verdict = "fits with care"
    if any(t > h for t, h in zip(taken, have, strict=True)):
        verdict = "does not fit"
    elif all(t + f <= h for t, f, h in zip(taken, free, have, strict=True)):
        verdict = "fits"
    return inputs + free[0], outputs + free[1], verdict


def phantom_banks(asked):
    there, size = (
        int(n)
        for n in re.search(r"has (\d+) microphone inputs.*?switched for (\d+) at", asked.scene).groups()
    )
    needs = [int(f.partition(":")[0]) for f in asked.facts if "needs phantom" in f]
    harmed = [int(f.partition(":")[0]) for f in asked.facts if "must not have phantom" in f]
    live = {(number - 1) // size for number in needs}
    danger = sum((number - 1) // size in live for number in harmed)
    # every way to leave banks off: what needs phantom has to find room in the others
    ways = [
        max(0, len(harmed) - off * size)
        for off in range(there // size + 1)
        if there - off * size >= len(needs)
    ]
    return len(live), danger, min(ways)


def zones_and_feeds(asked):
    left = int(re.search(r"has (\d+) matri", asked.scene)[1])
    matrices = buses = delays = 0
    for fact in asked.facts:
        rest = fact.partition(": ")[2]
        width = 2 if rest.startswith("stereo") else 1
        own_mix = any(word in rest for word in ("everything but", "speech and nothing", "not the balance"))
        if own_mix:
            buses += width
        elif "at a level of its own" in rest or "the same listener" in rest:
            delays += width * ("the same listener" in rest)
            if width <= left:
                left, matrices = left - width, matrices + width
            else:
                buses += width
    return matrices, buses, delays


def recording_tracks(asked):
    have = int(re.search(r"recorder in the desk has (\d+) tracks", asked.scene)[1])
    wanted = sum(p.channels for p in reading.pickups(asked.facts)) + 2 * (
        "and the mains beside them" in asked.scene
    )
    return wanted, "enough" if wanted <= have else "too few", abs(have - wanted)


def minutes_to_doors(asked):
    heap = {"Shared": 0.0, "At the desk": 0.0}
    for fact in asked.facts:
        kind, _, rest = fact.partition(" - ")
        heap[kind] += int(rest.split()[0]) * float(re.search(r", ([\d.]+) min each", rest)[1])
    crew = re.search(r"(\w+) (?:person sets|people set) up", asked.scene)[1].casefold()
    faster = {"one": 1, "two": 1.8}.get(crew, 2.4)
    ready = heap["Shared"] / faster + heap["At the desk"]
    have = int(re.search(r"there are (\d+) minutes", asked.scene)[1])
    kept = max(15, 0.2 * ready)
    verdict = "does not fit" if ready > have else "fits" if ready + kept <= have else "fits with care"
    return verdict, pytest.approx(ready / 60)


def which_desk(asked):
    stage, rest = _monitor_lines(asked)
    gig = tuple(fact for fact in rest if not fact.startswith("The "))
    cables = sum(p.cables for p in reading.pickups(gig))
    width, sends = sum(m.width for m in reading.monitors(stage)), reading.effects(gig)
    able = []
    for fact in rest:
        if not (found := re.match(r"The (\w+) desk, (\d+) kg: (.*?); effects (.*); talkback (.*)", fact)):
            continue
        name, weight, has, effects, talk = found.groups()
        have = [int(number) for number in re.findall(r"\d+", has)]
        talk_takes = "takes a socket and a channel" in talk
        back = 2 * sends * ("on two channels" in effects)
        buses = width + sends * ("fed from buses" in effects)
        taken = [cables + talk_takes, cables + talk_takes + back, buses, width + 2]
        if all(t <= h for t, h in zip(taken, have, strict=True)):
            able.append((int(weight), name, taken[1], buses))
    return min(able)[1:] if able else ("none", 0, 0)


def least_change(asked):
    have = int(re.search(r"has (\d+) buses", asked.scene)[1])
    price = {
        what: int(re.search(words, asked.scene)[1])
        for what, words in {
            "nice": r"(\d+) to leave out what would only be nice",
            "mono": r"(\d+) to make a stereo mix mono",
            "share": r"(\d+) for each wedge",
            "want": r"(\d+) to leave out what is wanted",
        }.items()
    }
    effects = [f for f in asked.facts if re.search(r": (must be there|is wanted|would be nice)$", f)]
    mixes = reading.monitors([f for f in asked.facts if f not in effects])
    asked_for = sum(m.width for m in mixes) + len(effects)
    sharing = sum("would share with another" in f for f in asked.facts)
    may = [price["mono"]] * sum("mono would do" in f for f in asked.facts)
    may += [price["share"]] * max(0, sharing - 1)
    may += [price["nice"]] * sum("would be nice" in f for f in effects)
    may += [price["want"]] * sum("is wanted" in f for f in effects)
    over = asked_for - have
    if over <= 0:
        return "fits", 0, asked_for
    return (
        ("fits with changes", sum(sorted(may)[:over]), have)
        if over <= len(may)
        else ("does not fit", 0, asked_for)
    )


def find_the_fault(asked):
    there = {
        kind: int(re.search(rf"(\d+) {words}", asked.scene)[1])
        for kind, words in {
            "microphone input": "microphone inputs",
            "output": "outputs",
            "line input": "line inputs",
            "stereo input": "stereo inputs",
            "bus": "buses",
        }.items()
    }
    taken, found = {}, (0, "nothing")
    for number, fact in enumerate(asked.facts, start=1):
        label, _, where = fact.partition(": ")[2].partition(": ")
        monitor, effect = reading.is_monitor(label), "made inside the desk" in label
        for piece in re.split(r", (?=[a-z])", where):
            kind = next(k for k in there if piece.startswith((k, k + "s", "buses" if k == "bus" else k)))
            held = [int(n) for n in re.findall(r"\d+", piece)]
            if kind == "bus" and ("after" in piece) != effect:
                found = number, "wrong tap"
            if kind == "bus" and len(held) == 2 and (held[0] % 2 == 0 or held[1] != held[0] + 1):
                found = number, "not a pair"
            if kind in ("line input", "stereo input") and re.search(r"microphones?$|DI$|DIs$", label):
                found = number, "wrong kind of socket"
            if max(held) > there[kind]:
                found = number, "no such socket"
            if any((kind, n) in taken for n in held):
                found = number, "socket twice"
            taken |= {(kind, n): number for n in held}
            assert monitor or effect or kind != "bus"
    return found


COUNTS = {
    "inputs by kind": inputs_by_kind, "monitor mixes": monitor_mixes, "bus pairs": bus_pairs,
    "sockets and channels": sockets_and_channels, "outputs by place": outputs_by_place,
    "equaliser channels": equaliser_channels, "inserts and units": inserts_and_units,
    "effects on a desk": effects_on_a_desk,
    "what is short": what_is_short,
    "will it fit": will_it_fit,
    "talkback": talkback, "spares": spares, "phantom banks": phantom_banks, "zones and feeds": zones_and_feeds,
    "recording tracks": recording_tracks, "minutes to doors": minutes_to_doors, "which desk": which_desk,
    "least change": least_change, "find the fault": find_the_fault,
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
