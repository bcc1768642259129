"""Is this placement legal? A judge of anybody's, that knows the rules of the trade and nothing of how it was found."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from ..formulas.timing import fill_delay_ms
from ..gig import Desk, Effect, Feed, Gig, Mix, Reason, Source, Zone, load_policy, most


@dataclass(frozen=True)
class Place:
    """One socket, bus or unit, and what sits on it.

    Parameters
    ----------
    item : str
        Key path of what sits there, such as ``"performer.Ada.sources.Kick"`` or ``"mix.Ada"``.
    on : str
        ``"mic input"``, ``"line input"``, ``"stereo input"``, ``"two-track return"``, ``"bus"``, ``"group"``,
        ``"matrix"``, ``"output"``, ``"record output"``, ``"direct out"``, ``"effects unit"`` or ``"track"``.
    at : str
        ``"stage"``, ``"desk"`` or ``"remote"``.
    number : int
        Which one, counted from 1 through the desk's file in that place.
    tap : str
        ``"pre"`` or ``"post"`` for a bus, else empty.
    """

    item: str
    on: str
    at: str
    number: int
    tap: str = ""


@dataclass(frozen=True)
class Judgement:
    """What the judge found.

    Parameters
    ----------
    faults : tuple of Reason
        What is wrong, each with the item and the rule it breaks; none where the placement is legal.
    cares : tuple of Reason
        What is legal but unwise.
    """

    faults: tuple[Reason, ...]
    cares: tuple[Reason, ...] = ()

    @property
    def legal(self) -> bool:
        """Whether nothing is wrong."""
        return not self.faults


def check_placement(gig: Gig, desk: Desk, places: Iterable[Place]) -> Judgement:
    """Whether a placement, whoever made it, is legal, and why not.

    Parameters
    ----------
    gig : Gig
        The gig, as it stands once any changes are made.
    desk : Desk
        The desk, with any box that was added.
    places : iterable of Place
        What sits where.

    Returns
    -------
    Judgement
    """
    judge = _Judge(gig, desk, tuple(places))
    judge.sockets()
    judge.sources()
    judge.phantom()
    judge.mixes()
    judge.taps()
    judge.effects()
    judge.zones()
    judge.feeds()
    judge.mains()
    judge.channels()
    return Judgement(tuple(judge.faults), tuple(judge.cares))


TAKES = {
    "desk": ("mic input",),
    "mains": ("output", "bus"),
    "mix": ("bus", "output", "direct out"),
    "effect": ("bus", "effects unit", "output", "stereo input", "mic input"),
    "zone": ("matrix", "group", "bus", "output"),
    "feed": ("track", "direct out", "record output", "matrix", "group", "bus", "output"),
}
"""What each kind of thing may sit on at all; sources have rules of their own."""

NOWHERE = ("bus", "group", "matrix", "effects unit", "track", "direct out")
"""What a desk has once, whatever place is written beside it."""


def _socket(place: Place) -> tuple[str, str, int]:
    return place.on, "" if place.on in NOWHERE else place.at, place.number


class _Judge:
    """Collects what is wrong with a placement, one rule a method."""

    def __init__(self, gig: Gig, desk: Desk, places: tuple[Place, ...]) -> None:
        self.gig, self.desk, self.places = gig, desk, places
        self.faults: list[Reason] = []
        self.cares: list[Reason] = []
        self.of: dict[str, list[Place]] = defaultdict(list)
        for place in places:
            self.of[place.item].append(place)
        self.buses = {b.number: b for b in desk.buses()}

    def fault(self, rule: str, *causes: str) -> None:
        self.faults.append(Reason(rule, causes))

    def count(self, item: str, on: str, at: str | None = None) -> int:
        return sum(p.on == on and at in (None, p.at) for p in self.of[item])

    def leaves(self, item: str, at: str, number: int, on: str = "output") -> bool:
        """Whether it takes just so many sockets, all of them in that place."""
        return self.count(item, on, at) == number == self.count(item, on)

    # ---- Sockets ----------------------------------------------------------------------------------------

    def sockets(self) -> None:
        """Every place is a real socket, nothing sits on one twice, and everything placed is in the gig."""
        known = {path for path, _ in self.gig.sources} | {"mains"}
        known |= {"desk.talkback"} if self.gig.wants_talkback else set()
        known |= {path for path, _ in self.gig.things}
        for item in self.of:
            if item not in known:
                self.fault(f"{item} is not in this gig", item)
        for place in self.places:
            if not 1 <= place.number <= self.how_many(place.on, place.at):
                self.fault(f"this desk has no {place.on} {place.number} at the {place.at}", place.item)
        for (on, at, number), times in Counter(map(_socket, self.places)).items():
            if times > 1:
                both = [p.item for p in self.places if _socket(p) == (on, at, number)]
                where = f" at the {at}" if at else ""
                self.fault(f"{on} {number}{where} is used {times} times", *both)
        for item, held in self.of.items():
            for on in dict.fromkeys(p.on for p in held):
                if on not in TAKES.get(item.partition(".")[0], (on,)):
                    called = "talkback" if item == "desk.talkback" else item.partition(".")[2] or item
                    self.fault(f"{called} sits on no {on}", item)

    def how_many(self, on: str, at: str) -> int:
        ins = [i for i in self.desk.inputs if i.at == at]
        outs = [o for o in self.desk.outputs if o.at == at]
        desk = self.desk
        return {
            "mic input": sum(i.mic for i in ins),
            "line input": sum(i.line for i in ins),
            "stereo input": sum(i.stereo for i in ins),
            "two-track return": sum(i.two_track for i in ins),
            "output": sum(o.line for o in outs),
            "record output": sum(o.record for o in outs),
            "bus": len(self.buses),
            "group": sum(b.kind == "group" for b in self.buses.values()),
            "matrix": desk.matrices.count,
            "effects unit": desk.effects.count,
            "track": desk.recording.tracks,
            "direct out": desk.about.direct_outs,
        }.get(on, 0)

    # ---- Inputs -----------------------------------------------------------------------------------------

    def sources(self) -> None:
        """Each source has an input of its kind for each channel, in the place where it stands."""
        for path, source in self.gig.sources:
            self.source(path, source)
        wanted = int(self.gig.wants_talkback and self.desk.about.talkback != "own input")
        if not self.leaves("desk.talkback", self.desk.input_place("desk"), wanted, "mic input"):
            self.fault(f"talkback takes {wanted} microphone inputs at the desk", "desk.talkback")

    def source(self, path: str, source: Source) -> None:
        here = self.desk.input_place(source.at)
        for place in self.of[path]:
            if place.at != here:
                self.fault(f"{source.name} stands at the {here} and is plugged at the {place.at}", path)
        held = len(self.of[path])
        if source.at_mic_level:
            if self.count(path, "mic input") != source.channels or held != source.channels:
                self.fault(f"{source.name} takes {source.channels} microphone inputs and nothing else", path)
            return
        two_track = self.count(path, "two-track return")
        whole = two_track + self.count(path, "stereo input")
        single = self.count(path, "mic input") + self.count(path, "line input")
        carried = whole + single // source.width
        if carried != most(source.count) or single % source.width or held != whole + single:
            self.fault(
                f"{source.name} takes a stereo input, or {source.width} line or microphone inputs, for each",
                path,
            )
        if two_track:
            reach = {p for i in self.desk.inputs if i.two_track and i.at == here for p in i.two_track_to}
            if not source.stereo or source.heard_in is None or not set(source.heard_in) <= reach:
                self.fault(f"a two-track return does not reach everywhere {source.name} must be heard", path)

    def phantom(self) -> None:
        """What needs phantom can have it, and what it harms is on no input where it is on."""
        for at in {i.at for i in self.desk.inputs}:
            wants: dict[str, set[int]] = {"needed": set(), "forbidden": set(), "indifferent": set()}
            for path, source in self.gig.sources:
                if source.at_mic_level:
                    numbers = {p.number for p in self.of[path] if p.on == "mic input" and p.at == at}
                    wants[source.phantom] |= numbers
            needs, harmed = wants["needed"], wants["forbidden"]
            first = 1
            for inputs in (i for i in self.desk.inputs if i.at == at):
                size = {"all": inputs.mic, "bank": inputs.bank_of}.get(inputs.phantom, 1)
                for number in range(first, first + inputs.mic):
                    start = first + (number - first) // max(size, 1) * size
                    if number in needs and inputs.phantom == "none":
                        self.fault(
                            f"microphone input {number} at the {at} has no phantom and needs it",
                            "inputs.phantom",
                        )
                    if number in harmed and needs & set(range(start, min(start + size, first + inputs.mic))):
                        self.fault(
                            f"phantom on the bank of microphone input {number} at the {at} would harm what is there",
                            "inputs.phantom",
                        )
                first += inputs.mic

    # ---- Mixes and buses --------------------------------------------------------------------------------

    def mixes(self) -> None:
        """Each mix has its buses, an odd one with the next even one in stereo, and its outputs."""
        for mix in self.gig.own_mixes:
            item = f"mix.{mix.name}"
            at = self.desk.output_place(mix.at)
            if mix.fed_by == "personal mixer":
                on = "output" if self.desk.digital else "direct out"
                if not self.count(item, on) == len(self.of[item]) == mix.personal_feeds:
                    self.fault(f"{mix.name} is fed by {mix.personal_feeds} of {on}", item)
                continue
            if self.count(item, "direct out"):
                self.fault(f"{mix.name} is fed by a bus, not by direct outs", item)
            self.pair(item, mix.name, mix.width, mix.is_stereo)
            if not self.leaves(item, at, mix.width):
                self.fault(f"{mix.name} takes {mix.width} outputs at the {at}", item)
            self.before_the_fader(item, mix)

    def before_the_fader(self, item: str, mix: Mix) -> None:
        """A monitor is taken before the fader where its buses can be, and both halves of a stereo mix alike."""
        held = [p for p in self.bus_places(item) if p.number in self.buses]
        for place in held:
            if self.buses[place.number].kind == "group":
                self.fault("a group carries no balance of its own for a monitor", item)
        for halves in [held] if mix.is_stereo and held else [[place] for place in held]:
            taps = {place.tap for place in halves}
            fixed = any(self.buses[place.number].tap == "always post" for place in halves)
            if len(taps) > 1:
                self.fault(f"both halves of {mix.name} are taken before the fader, or both after it", item)
            elif taps == {"post"} and fixed:
                rule = "a monitor mix on a bus after the fader follows every fader move"
                self.cares.append(Reason(rule, (item,)))
            elif taps != {"pre"} and not fixed:
                self.fault(f"{mix.name} is a monitor mix and is taken before the fader", item)

    def bus_places(self, item: str) -> list[Place]:
        return sorted((p for p in self.of[item] if p.on == "bus"), key=lambda p: p.number)

    def pair(self, item: str, name: str, width: int, stereo: bool) -> None:
        numbers = [place.number for place in self.bus_places(item)]
        if len(numbers) != width:
            self.fault(f"{name} takes {width} buses", item)
        elif stereo:
            linked = all(self.buses[n].links_up for n in numbers if n in self.buses)
            if numbers[0] % 2 == 0 or numbers[1] != numbers[0] + 1 or not linked:
                self.fault(f"{name} is stereo and takes an odd bus with the next even one", item)

    def taps(self) -> None:
        """A fixed tap stays as it is, and buses that switch together are all before or all after the fader."""
        together: dict[tuple, set[str]] = defaultdict(set)
        for place in self.places:
            if place.on != "bus" or place.number not in self.buses:
                continue
            bus = self.buses[place.number]
            if place.tap not in ("pre", "post"):
                self.fault(f"say whether bus {place.number} is taken before or after the fader", place.item)
            if bus.tap == "always pre" and place.tap == "post":
                self.fault(f"bus {place.number} is always before the fader", place.item)
            if bus.tap == "always post" and place.tap == "pre":
                self.fault(f"bus {place.number} is always after the fader", place.item)
            if bus.tap == "pair":
                together["pair", (bus.number + 1) // 2].add(place.tap)
            if bus.tap == "all":
                together["run", bus.run].add(place.tap)
        for (kind, number), taps in together.items():
            if len(taps) > 1:
                self.fault(
                    f"buses of {kind} {number} switch their tap together and cannot be both before and after",
                    "mix_buses.tap",
                )

    def post(self, item: str, name: str) -> None:
        for place in self.bus_places(item):
            if place.tap != "post":
                self.fault(f"{name} is taken after the fader", item)
            if place.number in self.buses and self.buses[place.number].kind == "group":
                self.fault(f"bus {place.number} is a group", item)

    # ---- Effects, zones, feeds, mains -------------------------------------------------------------------

    def effects(self) -> None:
        """Each effect has a unit, a send after the fader where it takes a bus, and a return that reaches its listeners."""
        kit = self.gig.kit.effects
        if sum(e.by == "unit" for e in self.gig.effects) > kit:
            self.fault(f"the kit has {kit} effects units", "kit.effects")
        for effect in self.gig.effects:
            self.effect(f"effect.{effect.name}", effect, effect.by == "desk")

    def effect(self, item: str, effect: Effect, inside: bool) -> None:
        name = effect.name
        sends = 0 if inside and self.desk.effects.send == "own" else 1
        if len(self.bus_places(item)) != sends:
            self.fault(f"{name} takes {sends} buses for its send", item)
        self.post(item, name)
        if inside:
            if self.count(item, "effects unit") != 1:
                self.fault(f"{name} takes one effects unit of the desk", item)
            feeding = {number for number, bus in self.buses.items() if bus.feeds_effects}
            for place in self.bus_places(item):
                if feeding and place.number in self.buses.keys() - feeding:
                    self.fault(f"bus {place.number} does not feed the effects inside", item)
            if self.count(item, "output"):
                self.fault(f"{name} is made inside the desk and takes no output", item)
        elif not self.leaves(item, self.desk.output_place("desk"), 1) or self.count(item, "effects unit"):
            self.fault(f"{name} is outboard and its send takes an output at the desk", item)
        at, width = self.desk.input_place("desk"), effect.width
        stereo, mono = self.count(item, "stereo input"), self.count(item, "mic input")
        if inside and (self.desk.digital or self.dedicated(effect)):
            if stereo or mono:
                self.fault(f"the return of {name} takes no input", item)
        elif (stereo, mono) not in ((1, 0), (0, width)) or stereo + mono != self.count(
            item, "stereo input", at
        ) + self.count(item, "mic input", at):
            self.fault(f"the return of {name} takes a stereo input or {width} microphone inputs", item)

    def dedicated(self, effect: Effect) -> bool:
        """Whether a return of its own reaches everywhere an effect inside must be heard."""
        reaches = self.desk.effects.return_to == "everything" or set(effect.heard_in) <= {"mains"}
        return self.desk.effects.returns == "dedicated" and reaches

    def zones(self) -> None:
        """Each zone with anything of its own has a path, an output, and a delay that reaches its setting."""
        zones = [z for z in self.gig.zones if z.wants_own_path]
        delays = self.gig.kit.delays
        if sum(z.width for z in zones if z.distance_m and z.delay_by == "unit") > delays:
            self.fault(f"the kit has {delays} delays", "kit.delays")
        for zone in self.gig.zones:
            item = f"zone.{zone.name}"
            if zone in zones:
                self.zone(item, zone)
            elif self.of[item]:
                self.fault(f"{zone.name} is linked through and takes nothing", item)

    def zone(self, item: str, zone: Zone) -> None:
        paths = {on: self.count(item, on) for on in ("matrix", "group", "bus")}
        used = [on for on, number in paths.items() if number]
        if len(used) != 1 or paths[used[0]] != zone.width:
            self.fault(
                f"{zone.name} takes a matrix, a group or a bus for each of {zone.width} channels", item
            )
        elif zone.fed_from in paths and used[0] != zone.fed_from:
            self.fault(f"{zone.name} is to be fed from a {zone.fed_from}", item)
        elif used[0] == "group" and (zone.distance_m is not None or zone.trim_db or zone.own_level):
            self.fault(f"a group feeds only zones that follow the mains, and {zone.name} does not", item)
        elif used[0] == "bus":
            self.pair(item, zone.name, zone.width, zone.stereo)
            self.post(item, zone.name)
        at = self.desk.output_place(zone.at)
        if not self.leaves(item, at, zone.width):
            self.fault(f"{zone.name} takes {zone.width} outputs at the {at}", item)
        if zone.distance_m is not None and zone.delay_by == "desk":
            delay = (self.gig.policy or load_policy()).delay
            cold = delay.coldest_c if self.gig.venue.coldest_c is None else self.gig.venue.coldest_c
            setting = fill_delay_ms(zone.distance_m.main, zone.distance_m.own, cold, delay.offset_ms)
            reach = [o.delay_up_to_ms for o in self.desk.outputs if o.at == at for _ in range(o.line)]
            for place in self.of[item]:
                if place.on == "output" and place.number <= len(reach) and reach[place.number - 1] < setting:
                    self.fault(
                        f"{zone.name} needs {setting:.1f} ms and output {place.number} gives less", item
                    )

    def feeds(self) -> None:
        """Each feed has a path that carries what it asks for, and outputs or tracks."""
        for feed in self.gig.feeds:
            each = feed.carries == "each source"
            (self.each_source if each else self.feed)(f"feed.{feed.name}", feed)

    def feed(self, item: str, feed: Feed) -> None:
        paths = {on: self.count(item, on) for on in ("track", "record output", "matrix", "group", "bus")}
        used = [on for on, number in paths.items() if number]
        if len(used) > 1 or any(paths[on] != feed.width for on in used):
            self.fault(f"{feed.name} takes one way, for each of {feed.width} channels", item)
            return
        if self.count(item, "direct out"):
            self.fault(f"{feed.name} is one mix, and a direct out carries one source", item)
        way = used[0] if used else "mains"
        if feed.own_mix and way != "bus":
            self.fault(f"{feed.name} has a mix of its own and takes a bus", item)
        elif feed.fed_from == "matrix" and way != "matrix":
            self.fault(f"{feed.name} is to be fed from a matrix", item)
        elif way == "track" and not feed.recorded:
            self.fault(f"{feed.name} leaves the desk and is not recorded inside it", item)
        elif way == "mains" and not self.desk.digital:
            self.fault(f"an analogue desk has no spare copy of the mains for {feed.name}", item)
        elif way == "bus":
            self.pair(item, feed.name, feed.width, feed.stereo)
            self.post(item, feed.name)
        at = self.desk.output_place(feed.at)
        if way == "record output" and self.count(item, way, at) != feed.width:
            self.fault(f"{feed.name} leaves at the {at}", item)
        wanted = 0 if way in ("track", "record output") else feed.width
        if not self.leaves(item, at, wanted):
            self.fault(f"{feed.name} takes {wanted} outputs at the {at}", item)

    def each_source(self, item: str, feed: Feed) -> None:
        number = sum(s.channels for _, s in self.gig.sources)
        tracks, outs = self.count(item, "track"), self.count(item, "direct out")
        if (tracks, outs) not in ((number, 0), (0, number)) or len(self.of[item]) != number:
            self.fault(f"{feed.name} takes {number} of track, or {number} of direct out", item)
        if tracks and not feed.recorded:
            self.fault(f"{feed.name} leaves the desk and is not recorded inside it", item)
        elif tracks and self.desk.recording.source != "channels":
            self.fault(
                f"the recorder of this desk takes the mains only, not each source for {feed.name}", item
            )

    def mains(self) -> None:
        """The main speakers have their outputs, and a centre its mono bus."""
        at, width = self.desk.output_place(self.gig.mains.at), self.gig.mains.width
        if not self.leaves("mains", at, width):
            self.fault(f"the mains take {width} outputs at the {at}", "mains")
        if len(self.bus_places("mains")) != (1 if width == 3 else 0):
            self.fault("a centre speaker takes a mono bus, other mains none", "mains")
        self.post("mains", "the centre speaker")

    # ---- Channels ---------------------------------------------------------------------------------------

    def channels(self) -> None:
        """No more is mixed at once than the desk can mix."""
        if self.desk.digital:
            wide = self.desk.stereo_takes
            total = self.count("desk.talkback", "mic input")
            for path, source in self.gig.sources:
                units = most(source.count) - self.count(path, "two-track return")
                total += units * (wide if source.stereo else 1)
            total += sum(self.effect_channels(e, wide) for e in self.gig.effects)
        else:
            total = sum(p.on in ("mic input", "line input", "stereo input") for p in self.places)
        if total > self.desk.channels:
            self.fault(f"{total} channels are mixed and the desk mixes {self.desk.channels}", "desk.channels")

    def effect_channels(self, effect: Effect, wide: int) -> int:
        if effect.by == "unit":
            return wide if effect.stereo else 1
        if self.dedicated(effect):
            return 0
        taken = {"takes two channels": 2, "takes a channel": 1}.get(self.desk.effects.returns, wide)
        return min(effect.width, taken)
