"""The judge's rules for sockets, sources, phantom, monitor mixes, taps, mains and channels."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from ..gig import Desk, Gig, Reason, Source, most
from .ledger import Place

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


class LineJudge:
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

    def sockets(self) -> None:
        """Every place is a real socket, nothing sits on one twice, and everything placed is in the gig."""
        known = {path for path, _ in self.gig.sources} | {"mains"}
        known |= {"desk.talkback"} if self.gig.wants_talkback else set()
        for kind, things in (
            ("mix", self.gig.mixes),
            ("effect", self.gig.effects),
            ("zone", self.gig.zones),
            ("feed", self.gig.feeds),
        ):
            named: tuple[Any, ...] = things
            known |= {f"{kind}.{thing.name}" for thing in named}
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
                    self.fault(f"{self.called(item)} sits on no {on}", item)

    def called(self, item: str) -> str:
        """What a fault calls a thing: its own name, or what it is."""
        return {"desk.talkback": "talkback"}.get(item, item.partition(".")[2]) or item

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

    def sources(self) -> None:
        """Each source has an input of its kind for each channel, in the place where it stands."""
        for path, source in self.gig.sources:
            self.source(path, source)
        wanted = int(self.gig.wants_talkback and self.desk.about.talkback != "own input")
        if self.count("desk.talkback", "mic input") != wanted or wanted != self.count(
            "desk.talkback", "mic input", self.desk.input_place("desk")
        ):
            self.fault(f"talkback takes {wanted} microphone inputs at the desk", "desk.talkback")

    def source(self, path: str, source: Source) -> None:
        here = self.desk.input_place(source.at)
        for place in self.of[path]:
            if place.at != here:
                self.fault(f"{source.name} stands at the {here} and is plugged at the {place.at}", path)
        wanted = most(source.count)
        if source.at_mic_level:
            if self.count(path, "mic input") != source.channels or len(self.of[path]) != source.channels:
                self.fault(f"{source.name} takes {source.channels} microphone inputs and nothing else", path)
            return
        two_track = self.count(path, "two-track return")
        single = self.count(path, "mic input") + self.count(path, "line input")
        stereo = self.count(path, "stereo input")
        carried = two_track + stereo + single // source.width
        odd = single % source.width or len(self.of[path]) != two_track + stereo + single
        if carried != wanted or odd:
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
            needs, harmed = set(), set()
            for path, source in self.gig.sources:
                numbers = {p.number for p in self.of[path] if p.on == "mic input" and p.at == at}
                if source.at_mic_level and source.phantom == "needed":
                    needs |= numbers
                if source.at_mic_level and source.phantom == "forbidden":
                    harmed |= numbers
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
            if self.count(item, "output", at) != mix.width or self.count(item, "output") != mix.width:
                self.fault(f"{mix.name} takes {mix.width} outputs at the {at}", item)
            for place in self.bus_places(item):
                bus = self.buses.get(place.number)
                if bus is None:
                    continue
                if bus.kind == "group":
                    self.fault("a group carries no balance of its own for a monitor", item)
                if place.tap == "post" and bus.tap == "always post":
                    self.cares.append(
                        Reason("a monitor mix on a bus after the fader follows every fader move", (item,))
                    )
                elif place.tap != "pre" and bus.tap != "always post":
                    self.fault(f"{mix.name} is a monitor mix and is taken before the fader", item)

    def bus_places(self, item: str) -> list[Place]:
        return sorted((p for p in self.of[item] if p.on == "bus"), key=lambda p: p.number)

    def pair(self, item: str, name: str, width: int, stereo: bool) -> None:
        held = self.bus_places(item)
        if len(held) != width:
            self.fault(f"{name} takes {width} buses", item)
            return
        if stereo:
            first, second = (p.number for p in held)
            pair = [self.buses[n] for n in (first, second) if n in self.buses]
            if first % 2 == 0 or second != first + 1 or not all(b.links_up for b in pair):
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

    def mains(self) -> None:
        """The main speakers have their outputs, and a centre its mono bus."""
        at, width = self.desk.output_place(self.gig.mains.at), self.gig.mains.width
        if self.count("mains", "output", at) != width or self.count("mains", "output") != width:
            self.fault(f"the mains take {width} outputs at the {at}", "mains")
        if len(self.bus_places("mains")) != (1 if width == 3 else 0):
            self.fault("a centre speaker takes a mono bus, other mains none", "mains")
        self.post("mains", "the centre speaker")

    def channels(self) -> None:
        """No more is mixed at once than the desk can mix."""
        total = 0
        if self.desk.digital:
            wide = self.desk.stereo_takes
            for path, source in self.gig.sources:
                units = most(source.count) - self.count(path, "two-track return")
                total += units * (wide if source.stereo else 1)
            total += self.count("desk.talkback", "mic input")
            total += sum(self.effect_channels(e, wide) for e in self.gig.effects)
        else:
            total = sum(p.on in ("mic input", "line input", "stereo input") for p in self.places)
        if total > self.desk.channels:
            self.fault(f"{total} channels are mixed and the desk mixes {self.desk.channels}", "desk.channels")

    def effect_channels(self, effect: Any, wide: int) -> int:
        reaches = self.desk.effects.return_to == "everything" or set(effect.heard_in) <= {"mains"}
        if effect.by == "desk" and self.desk.effects.returns == "dedicated" and reaches:
            return 0
        if effect.by == "unit":
            return wide if effect.stereo else 1
        taken = {"takes two channels": 2, "takes a channel": 1}.get(self.desk.effects.returns, wide)
        return min(effect.width, taken)
