"""Words: text made safe to show, numbers in words, and a gig and a desk told as a band and a data sheet would say it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from gigsums.gig import Desk, Feed, Gig, Inputs, Line, Mix, Source, Span, Zone
from gigsums.gig.reason import listed as listed

NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def as_markdown(text: str) -> str:
    """One line of text with everything that Markdown or HTML would act on made harmless."""
    plain = text.replace("&", "&amp;").replace("<", "&lt;")
    return re.sub(r"([\\`*_{}\[\]#|$~])", r"\\\1", " ".join(plain.split()))


def bullets(lines: tuple[str, ...]) -> str:
    """Lines as a Markdown list."""
    return "\n".join(f"- {as_markdown(line)}" for line in lines)


def short(text: str, length: int = 40) -> str:
    """The beginning of a text on one line, without characters that do not print."""
    clean = "".join(character if character.isprintable() else " " for character in text[: length + 1])
    return clean if len(clean) <= length else clean[: length - 1] + "…"


def sentence(text: str) -> str:
    """The text with a capital first letter; a unit keeps its own."""
    return text if text.startswith("dB") else text[:1].upper() + text[1:]


def in_words(count: int) -> str:
    """A small count as a word."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def singular(name: str) -> str:
    """One of what a plural counts: mixes, buses, matrices; of "mixes to go mono" its first word."""
    thing, to, rest = name.partition(" to ")
    if thing.endswith("matrices"):
        return f"{thing.removesuffix('ices')}ix{to}{rest}"
    one = thing[:-2] if thing.endswith(("xes", "ses", "ches")) else thing.removesuffix("s")
    return one + to + rest


PLACES = {"stage": "on the stage", "desk": "at the desk", "remote": "far away"}
TAPS = {
    "each": "each before or after the fader as you set it",
    "pair": "before or after the fader, switched two at a time, odd with the next even",
    "all": "before or after the fader, switched all together",
    "always pre": "always before the fader",
    "always post": "always after the fader",
}
LED_BY = {
    "any": "linked through from the mains",
    "mains": "linked through from the mains",
    "bus": "on a send of its own from each channel",
    "matrix": "planned on a matrix",
    "group": "planned on a group",
}
TALKBACK = {
    "own input": "has an input of its own",
    "takes a channel": "takes a preamp and a channel",
    "none": "none",
}
KEPT = {"must": "", "want": "wanted, but may go if it must", "nice": "nice to have"}
KIT = ("equalisers", "compressors", "gates", "delays", "effects", "preamps", "sub_mixers", "phantom_blockers")


def gig_facts(gig: Gig) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What is known of a gig, by heading.

    Parameters
    ----------
    gig : Gig
        The gig.

    Returns
    -------
    tuple of (str, tuple of str)
        Each heading with its lines; headings with nothing under them are left out.
    """
    parts = (
        ("On the stage", tuple(_players(gig))),
        ("Without a player", tuple(_lines(gig))),
        ("What the stage hears itself on", tuple(_mixes(gig))),
        ("Effects", tuple(_effects(gig))),
        ("What leaves", tuple(_leaving(gig))),
        ("Crew, kit and clock", tuple(_crew(gig))),
    )
    return tuple((heading, lines) for heading, lines in parts if lines)


def input_facts(gig: Gig) -> tuple[str, ...]:
    """What each player and each line brings, in a line: things and how they are picked up, not inputs."""
    return (*_players(gig, whose=False), *_lines(gig))


def _players(gig: Gig, *, whose: bool = True) -> Iterator[str]:
    """What each player brings; with whose it is before each thing, as its full name has it, or without."""
    for player in gig.performers:
        owner = "" if whose else f"{player.name}'s "
        plays = f" ({player.plays})" if player.plays else ""
        things = [f"{source.name.removeprefix(owner)}, {_how(source)}" for source in player.sources]
        yield f"{player.name}{plays}: {'; '.join(things) or 'nothing picked up'}"


def _lines(gig: Gig) -> Iterator[str]:
    return (f"{line.name}: {_how(line)}" for line in gig.lines)


def _how(source: Source) -> str:
    at_home = "desk" if isinstance(source, Line) else "stage"
    units = listed([f"a {what}" for what in ("compressor", "gate") if getattr(source, what)])
    phantom = {"needed": "needs phantom", "forbidden": "must never have phantom", "indifferent": ""}
    words = (
        _picked_up(source),
        "not settled yet" if isinstance(source.count, Span) else "",
        f"plugged {PLACES[source.at]}" if source.at != at_home else "",
        phantom[source.phantom],
        f"with {units}{' on each channel' if source.channels > 1 else ''}" if units else "",
        "" if source.to_mains else "never for the audience",
        "" if source.heard_in is None else f"wanted only in {listed(source.heard_in)}",
        KEPT[source.keep],
    )
    return ", ".join(filter(None, words))


def _picked_up(source: Source) -> str:
    count = source.count
    many = count != 1
    number = f"{count.least} to {count.most}" if isinstance(count, Span) else in_words(count)
    width = "stereo" if source.stereo else "mono"
    level = "microphone level" if source.at_mic_level else "line level"
    if source.by == "mic" or source.radio:
        what = "stereo pair{} of microphones" if source.stereo else "microphone{}"
        what = f"radio microphone{{}}, receiver{{}} set to {level}" if source.radio else what
        return f"{number if many else 'a'} {what.replace('{}', 's' * many)}"
    if source.by == "DI":
        boxes = "DI boxes" if source.stereo or many else "a DI box"
        plain = (
            f"{width}{' each' * many} through {boxes}{'' if source.at_mic_level else ', set to line level'}"
        )
        return f"{number}, {plain}" if many else plain
    return f"{f'{number}, each ' if many else ''}{width} at {level}"


def monitor_facts(gig: Gig) -> tuple[str, ...]:
    """Each monitor mix in a line, as a band would describe it: people and boxes, not mixes and buses."""
    plays = {one.name: "crew" for one in gig.crew.people}
    plays |= {player.name: player.plays for player in gig.performers}
    return tuple(_monitor_fact(mix, plays) for mix in gig.mixes)


def _monitor_fact(mix: Mix, plays: dict[str, str]) -> str:
    who = listed([f"{name} ({plays[name]})" if plays.get(name) else name for name in mix.listeners])
    together = len(mix.listeners) > 1
    boxes = in_words(mix.boxes)
    if mix.through == "in-ears":
        packs = f"{in_words(len(mix.listeners))} packs on one mix, " if together else ""
        return f"{who}: in-ears, {packs}in {'stereo' if mix.is_stereo else 'mono'}"
    if mix.through == "drum fill":
        sends = (
            "each with a send of its own"
            if mix.sub_send
            else "one send for both, split by the fill's own crossover"
        )
        return f"{who}: a drum fill of a top and a sub, {sends}"
    if mix.through == "side fill":
        return f"Side fills, {boxes} boxes, {'in stereo' if mix.is_stereo else 'both playing the same'}"
    if mix.through == "shaker":
        return f"{who}: a shaker under the stool as well, with a mix of its own"
    if mix.through == "cue":
        return "A cue wedge at the side of the stage, with a mix of its own"
    if together:
        all_ = "both" if len(mix.listeners) == 2 else "all"
        return f"{who}: {boxes} wedges between them, {all_} content with the same mix"
    return f"{who}: {boxes} wedge{'s' if mix.boxes > 1 else ''}"


def _mixes(gig: Gig) -> Iterator[str]:
    for mix, fact in zip(gig.mixes, monitor_facts(gig), strict=True):
        made = {
            "bus": "",
            "personal mixer": f"mixed by the player on a personal mixer that is fed {mix.personal_feeds} channels",
            "monitor desk": "made on a monitor desk of its own",
        }
        words = (
            fact if mix.name in fact else f"{mix.name}: {fact}",
            made[mix.fed_by],
            "" if mix.equaliser else "needs no equaliser",
            "" if mix.at == "stage" else f"taken {PLACES[mix.at]}",
            "mono would do" if mix.is_stereo and "mono" in mix.may else "",
            "would share with another who says so" if "share" in mix.may else "",
            KEPT[mix.keep],
        )
        yield "; ".join(filter(None, words))
    if gig.mixes and gig.own_mixes != gig.mixes:
        yield f"The monitor desk gets its inputs by: {gig.split.by}"
    if gig.talkback is not None:
        yield f"Talkback to the stage: {'wanted' if gig.talkback else 'not wanted'}"


def _effects(gig: Gig) -> Iterator[str]:
    for effect in gig.effects:
        told = f"{effect.name}: {'stereo' if effect.stereo else 'mono'}, heard in {listed(effect.heard_in)}"
        unit = "made by a unit beside the desk" if effect.by == "unit" else ""
        yield "; ".join(filter(None, (told, unit, KEPT[effect.keep])))


def _leaving(gig: Gig) -> Iterator[str]:
    equalised = "with an equaliser" if gig.mains.equaliser else "with no equaliser"
    yield f"Mains: {gig.mains.outputs}, {equalised}, amplifiers {PLACES[gig.mains.at]}"
    yield from (", ".join(filter(None, words)) for words in map(_zone, gig.zones))
    yield from (", ".join(filter(None, words)) for words in map(_feed, gig.feeds))


def _zone(zone: Zone) -> Iterator[str]:
    yield f"{zone.name}: {'stereo' if zone.stereo else 'mono'}"
    if zone.distance_m:
        far, near = zone.distance_m.main, zone.distance_m.own
        yield f"the same listener sits {far:g} m from the mains and {near:g} m from its own loudspeaker"
        yield "delayed by a unit beside the desk" if zone.delay_by == "unit" else ""
    yield "an equaliser of its own" if zone.equaliser else ""
    yield "a level of its own" if zone.own_level else ""
    yield f"trimmed by {zone.trim_db:g} dB" if zone.trim_db else ""
    yield "" if zone.fed_from == "any" and zone.wants_own_path else LED_BY[zone.fed_from]
    yield f"amplifier {PLACES[zone.at]}"
    yield KEPT[zone.keep]


def _feed(feed: Feed) -> Iterator[str]:
    width = "stereo" if feed.stereo else "mono"
    told = {"everything": f"everything, {width}", "speech": f"speech only, {width}"}
    yield f"{feed.name}: {told.get(feed.carries, 'every source on its own')}"
    yield f"without {listed(feed.without)}" if feed.without else ""
    taken = {"mains": "taken from the mains", "own mix": "a mix of its own", "matrix": "planned on a matrix"}
    yield taken.get(feed.fed_from or "", "")
    yield "a recorder inside the desk would do" if feed.recorded else f"leaves {PLACES[feed.at]}"
    yield KEPT[feed.keep]


def _crew(gig: Gig) -> Iterator[str]:
    if gig.crew.people:
        people = listed([f"{p.name} ({p.skill})" for p in gig.crew.people])
        yield f"Crew: {people}; {gig.crew.at_desk.name} mixes" if gig.crew.at_desk else f"Crew: {people}"
    if gig.crew.prepared_file:
        yield "A session file for the desk is prepared"
    kit = ", ".join(f"{what.replace('_', ' ')} {n}" for what in KIT if (n := getattr(gig.kit, what)))
    yield f"Besides the desk there {f'are: {kit}' if kit else 'is nothing at hand'}"
    if gig.venue.coldest_c is not None:
        yield f"The coldest air expected is {gig.venue.coldest_c:g} °C"
    if gig.evening.minutes_to_doors is not None:
        yield f"From load-in to doors: {gig.evening.minutes_to_doors} minutes"


def desk_facts(desk: Desk) -> tuple[str, ...]:
    """What a desk has, line by line.

    Parameters
    ----------
    desk : Desk
        The desk.

    Returns
    -------
    tuple of str
    """
    return tuple(sentence(fact) for fact in _desk(desk))


def _desk(desk: Desk) -> Iterator[str]:
    about = desk.about
    if desk.digital:
        wide = in_words(desk.stereo_takes)
        yield f"digital; it mixes at most {desk.channels} channels; a stereo source takes {wide}"
    else:
        yield "analogue; every input is a channel, a stereo input one"
    for place in desk.inputs:
        yield f"inputs {PLACES[place.at]}: {'; '.join(_inputs(place))}"
    for out in desk.outputs:
        words = (
            f"{out.line} outputs",
            f"{out.record} more that always carry a copy of the mains" if out.record else "",
            "each with an equaliser" if out.equaliser else "without equalisers",
            f"delay up to {out.delay_up_to_ms:g} ms" if out.delay_up_to_ms else "no delay",
        )
        yield f"outputs {PLACES[out.at]}: {', '.join(filter(None, words))}"
    first = 1
    for run in desk.mix_buses:
        last = first + run.count - 1
        says = (
            TAPS[run.tap],
            "" if run.kind == "group" or run.stereo != "none" else "they do not link for stereo",
            "the only way to the effects inside" if run.feeds_effects else "",
        )
        numbers = f"bus {first}" if first == last else f"buses {first} to {last}"
        yield f"{numbers}{', groups' if run.kind == 'group' else ''}: {', '.join(filter(None, says))}"
        first = last + 1
    yield f"matrices: {desk.matrices.count or 'none'}"
    yield _effects_inside(desk)
    if desk.recording.tracks:
        from_ = "one a channel" if desk.recording.source == "channels" else "of the mains"
        yield f"a recorder inside: {desk.recording.tracks} tracks, {from_}"
    if about.direct_outs:
        yield f"direct outs: {about.direct_outs}"
    yield f"talkback: {TALKBACK[about.talkback]}"
    has = {"compressor": about.channel_compressors, "gate": about.channel_gates}
    inside = " and a ".join(what for what, there in has.items() if there)
    yield f"every channel has a {inside} inside" if inside else "no compressors or gates inside"
    for option in desk.options:
        more = ((option.mic, "more inputs"), (option.line_out, "more outputs"))
        yield f"can be added: {option.name}, {listed([f'{n} {what}' for n, what in more if n])} {PLACES[option.at]}"
    yield f"needs {'an' if about.least_skill != 'novice' else 'a'} {about.least_skill} hand or better, or a prepared file"


def _inputs(place: Inputs) -> Iterator[str]:
    phantom = {
        "each": "phantom switched one by one",
        "bank": f"phantom switched in banks of {place.bank_of}",
        "all": "one phantom switch for all",
        "none": "no phantom",
    }[place.phantom]
    if place.mic:
        yield f"{place.mic} with a preamp, each for a microphone or a line, {phantom}"
    if place.line:
        yield f"{place.line} for a line"
    if place.stereo:
        yield f"{place.stereo} stereo, for lines"
    if place.two_track:
        yield f"{place.two_track} two-track return that reaches only the {listed(place.two_track_to)}"
    if place.inserts:
        yield f"inserts on {place.inserts}"


def _effects_inside(desk: Desk) -> str:
    own = desk.effects
    if not own.count:
        return "effects inside: none"
    send = "each with a send of its own" if own.send == "own" else "each fed by a bus"
    back = {
        "dedicated": "back on returns of their own",
        "takes two channels": "each back on two channels",
        "takes a channel": "each back on a channel",
    }[own.returns]
    reach = ", which reach the mains only" if own.returns == "dedicated" and own.return_to == "mains" else ""
    return f"effects inside: {own.count}, {send}, {back}{reach}"
