"""A gig and a desk told in words, as a band and a data sheet would say it: things and people, nothing counted up."""

from __future__ import annotations

from collections.abc import Iterable

from gigsums.gig import Desk, Gig, Line, Source, Span
from gigsums.gig.model import Feed, Zone
from gigsums.practice.monitors import monitor_facts
from gigsums.practice.wording import in_words, listed, sentence

PLACES = {"stage": "on the stage", "desk": "at the desk", "remote": "far away"}
TAPS = {
    "each": "each before or after the fader as you set it",
    "pair": "before or after the fader, switched two at a time, odd with the next even",
    "all": "before or after the fader, switched all together",
    "always pre": "always before the fader",
    "always post": "always after the fader",
}
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
        ("Without a player", tuple(_line(line) for line in gig.lines)),
        ("What the stage hears itself on", tuple(_mixes(gig))),
        ("Effects", tuple(_effects(gig))),
        ("What leaves", tuple(_leaving(gig))),
        ("Crew, kit and clock", tuple(_crew(gig))),
    )
    return tuple((heading, lines) for heading, lines in parts if lines)


def _players(gig: Gig) -> Iterable[str]:
    for player in gig.performers:
        plays = f" ({player.plays})" if player.plays else ""
        yield f"{player.name}{plays}: {'; '.join(f'{s.name}, {_how(s)}' for s in player.sources) or 'nothing picked up'}"


def _line(line: Source) -> str:
    return f"{line.name}: {_how(line)}"


def _how(source: Source) -> str:
    words = [_picked_up(source), *(["not settled yet"] if isinstance(source.count, Span) else [])]
    at_home = "desk" if isinstance(source, Line) else "stage"
    if source.at != at_home:
        words.append(f"plugged {PLACES[source.at]}")
    if source.phantom == "needed":
        words.append("needs phantom")
    if source.phantom == "forbidden":
        words.append("must never have phantom")
    units = [what for what in ("compressor", "gate") if getattr(source, what)]
    if units:
        words.append(
            f"with {listed([f'a {unit}' for unit in units])}{' on each channel' if source.channels > 1 else ''}"
        )
    if not source.to_mains:
        words.append("never for the audience")
    if source.heard_in is not None:
        words.append(f"wanted only in {listed(source.heard_in)}")
    return ", ".join([*words, *_kept(source.keep)])


def _picked_up(source: Source) -> str:
    if isinstance(source.count, Span):
        number = f"{source.count.least} to {source.count.most}"
        many = True
    else:
        number, many = in_words(source.count), source.count > 1
    width = "stereo" if source.stereo else "mono"
    if source.radio:
        level = "microphone" if source.at_mic_level else "line"
        what = f"radio microphone{'s' * many}, receiver{'s' * many} set to {level} level"
        return f"{number} {what}" if many else f"a {what}"
    if source.by == "mic":
        what = "stereo pair" if source.stereo else "microphone"
        return (
            f"{number} {what}{'s' * many} of microphones"
            if source.stereo and many
            else (f"{number} {what}s" if many else f"a {what}{' of microphones' if source.stereo else ''}")
        )
    if source.by == "DI":
        level = "" if source.at_mic_level else ", set to line level"
        each = " each" if many else ""
        return f"{f'{number}, ' if many else ''}{width}{each} through {'DI boxes' if source.stereo or many else 'a DI box'}{level}"
    level = "microphone level" if source.at_mic_level else "line level"
    return f"{f'{number}, each ' if many else ''}{width} at {level}"


def _kept(keep: str) -> list[str]:
    return {"must": [], "want": ["wanted, but may go if it must"], "nice": ["nice to have"]}[keep]


def _mixes(gig: Gig) -> Iterable[str]:
    for mix, fact in zip(gig.mixes, monitor_facts(gig), strict=True):
        words = [fact]
        if mix.name not in fact:
            words[0] = f"{mix.name}: {fact}"
        if mix.fed_by == "personal mixer":
            words.append(f"mixed by the player on a personal mixer that is fed {mix.personal_feeds} channels")
        if mix.fed_by == "monitor desk":
            words.append("made on a monitor desk of its own")
        if not mix.equaliser:
            words.append("needs no equaliser")
        if mix.at != "stage":
            words.append(f"taken {PLACES[mix.at]}")
        if mix.is_stereo and "mono" in mix.may:
            words.append("mono would do")
        if "share" in mix.may:
            words.append("would share with another who says so")
        yield "; ".join([*words, *_kept(mix.keep)])
    if gig.mixes and gig.own_mixes != gig.mixes:
        yield f"The monitor desk gets its inputs by: {gig.split.by}"
    if gig.talkback is not None:
        yield f"Talkback to the stage: {'wanted' if gig.talkback else 'not wanted'}"


def _effects(gig: Gig) -> Iterable[str]:
    for effect in gig.effects:
        words = [
            f"{effect.name}: {'stereo' if effect.stereo else 'mono'}, heard in {listed(effect.heard_in)}"
        ]
        if effect.by == "unit":
            words.append("made by a unit beside the desk")
        yield "; ".join([*words, *_kept(effect.keep)])


def _leaving(gig: Gig) -> Iterable[str]:
    equalised = "with an equaliser" if gig.mains.equaliser else "with no equaliser"
    yield f"Mains: {gig.mains.outputs}, {equalised}, amplifiers {PLACES[gig.mains.at]}"
    yield from (_zone(zone) for zone in gig.zones)
    yield from (_feed(feed) for feed in gig.feeds)


def _zone(zone: Zone) -> str:
    words = ["stereo" if zone.stereo else "mono"]
    if zone.distance_m:
        far, near = zone.distance_m.main, zone.distance_m.own
        words.append(
            f"the same listener sits {far:g} m from the mains and {near:g} m from its own loudspeaker"
        )
        words += ["delayed by a unit beside the desk"] if zone.delay_by == "unit" else []
    words += ["an equaliser of its own"] if zone.equaliser else []
    words += ["a level of its own"] if zone.own_level else []
    words += [f"trimmed by {zone.trim_db:g} dB"] if zone.trim_db else []
    words += {
        "any": [] if zone.wants_own_path else ["linked through from the mains"],
        "mains": ["linked through from the mains"],
        "bus": ["on a send of its own from each channel"],
        "matrix": ["planned on a matrix"],
        "group": ["planned on a group"],
    }[zone.fed_from]
    words.append(f"amplifier {PLACES[zone.at]}")
    return ", ".join([f"{zone.name}: {words[0]}", *words[1:], *_kept(zone.keep)])


def _feed(feed: Feed) -> str:
    width = "stereo" if feed.stereo else "mono"
    carries = {
        "everything": f"everything, {width}",
        "speech": f"speech only, {width}",
        "each source": "every source on its own",
    }
    words = [f"{feed.name}: {carries[feed.carries]}"]
    words += [f"without {listed(feed.without)}"] if feed.without else []
    words += {
        "mains": ["taken from the mains"],
        "own mix": ["a mix of its own"],
        "matrix": ["planned on a matrix"],
    }.get(feed.fed_from or "", [])
    words.append("a recorder inside the desk would do" if feed.recorded else f"leaves {PLACES[feed.at]}")
    return ", ".join([*words, *_kept(feed.keep)])


def _crew(gig: Gig) -> Iterable[str]:
    if gig.crew.people:
        people = listed([f"{p.name} ({p.skill})" for p in gig.crew.people])
        yield f"Crew: {people}; {gig.crew.at_desk.name} mixes" if gig.crew.at_desk else f"Crew: {people}"
    if gig.crew.prepared_file:
        yield "A session file for the desk is prepared"
    kit = [f"{what.replace('_', ' ')} {n}" for what in KIT if (n := getattr(gig.kit, what))]
    yield (
        f"Besides the desk there are: {', '.join(kit)}"
        if kit
        else "Besides the desk there is nothing at hand"
    )
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


def _desk(desk: Desk) -> Iterable[str]:
    about = desk.about
    if desk.digital:
        wide = in_words(desk.stereo_takes)
        yield f"digital; it mixes at most {desk.channels} channels; a stereo source takes {wide}"
    else:
        yield "analogue; every input is a channel, a stereo input one"
    for place in desk.inputs:
        yield f"inputs {PLACES[place.at]}: {'; '.join(_inputs(place))}"
    for out in desk.outputs:
        words = [f"{out.line} outputs"]
        words += [f"{out.record} more that always carry a copy of the mains"] if out.record else []
        words += ["each with an equaliser" if out.equaliser else "without equalisers"]
        words += [f"delay up to {out.delay_up_to_ms:g} ms"] if out.delay_up_to_ms else ["no delay"]
        yield f"outputs {PLACES[out.at]}: {', '.join(words)}"
    first = 1
    for run in desk.mix_buses:
        last = first + run.count - 1
        numbers = f"bus {first}" if first == last else f"buses {first} to {last}"
        kind = f"{numbers}, groups" if run.kind == "group" else numbers
        words = [TAPS[run.tap]]
        words += [] if run.kind == "group" or run.stereo != "none" else ["they do not link for stereo"]
        words += ["the only way to the effects inside"] if run.feeds_effects else []
        yield f"{kind}: {', '.join(words)}"
        first = last + 1
    yield f"matrices: {desk.matrices.count or 'none'}"
    yield _effects_inside(desk)
    recorder, direct = desk.recording, about.direct_outs
    if recorder.tracks:
        from_ = "one a channel" if recorder.source == "channels" else "of the mains"
        yield f"a recorder inside: {recorder.tracks} tracks, {from_}"
    if direct:
        yield f"direct outs: {direct}"
    talkback = {
        "own input": "has an input of its own",
        "takes a channel": "takes a preamp and a channel",
        "none": "none",
    }
    yield f"talkback: {talkback[about.talkback]}"
    inside = [
        what
        for what, has in (("compressor", about.channel_compressors), ("gate", about.channel_gates))
        if has
    ]
    yield (
        f"every channel has a {' and a '.join(inside)} inside" if inside else "no compressors or gates inside"
    )
    for option in desk.options:
        more = [
            f"{n} {what}" for n, what in ((option.mic, "more inputs"), (option.line_out, "more outputs")) if n
        ]
        yield f"can be added: {option.name}, {listed(more)} {PLACES[option.at]}"
    yield f"needs {'an' if about.least_skill != 'novice' else 'a'} {about.least_skill} hand or better, or a prepared file"


def _inputs(place: object) -> Iterable[str]:
    def had(name: str) -> int:
        return int(getattr(place, name))

    phantom = {
        "each": "phantom switched one by one",
        "bank": f"phantom switched in banks of {had('bank_of')}",
        "all": "one phantom switch for all",
        "none": "no phantom",
    }[getattr(place, "phantom")]  # noqa: B009
    if had("mic"):
        yield f"{had('mic')} with a preamp, each for a microphone or a line, {phantom}"
    if had("line"):
        yield f"{had('line')} for a line"
    if had("stereo"):
        yield f"{had('stereo')} stereo, for lines"
    if had("two_track"):
        reach = listed(getattr(place, "two_track_to"))  # noqa: B009
        yield f"{had('two_track')} two-track return that reaches only the {reach}"
    if had("inserts"):
        yield f"inserts on {had('inserts')}"


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
