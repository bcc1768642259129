"""Is this placement legal? A judge of anybody's, that knows the rules of the trade and nothing of how it was found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from ..gig import Desk, Gig, Reason, load_policy
from ._judge_lines import LineJudge
from .ledger import Place
from .processing import zone_delay_ms


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


class _Judge(LineJudge):
    def effects(self) -> None:
        """Each effect has a unit, a send after the fader where it takes a bus, and a return that reaches its listeners."""
        outboard = [e for e in self.gig.effects if e.by == "unit"]
        if len(outboard) > self.gig.kit.effects:
            self.fault(f"the kit has {self.gig.kit.effects} effects units", "kit.effects")
        restricted = any(b.feeds_effects for b in self.buses.values())
        for effect in self.gig.effects:
            item, own = f"effect.{effect.name}", self.desk.effects
            inside = effect.by == "desk"
            sends = 0 if inside and own.send == "own" else 1
            if len(self.bus_places(item)) != sends:
                self.fault(f"{effect.name} takes {sends} buses for its send", item)
            self.post(item, effect.name)
            if inside:
                if self.count(item, "effects unit") != 1:
                    self.fault(f"{effect.name} takes one effects unit of the desk", item)
                for place in self.bus_places(item):
                    if (
                        restricted
                        and place.number in self.buses
                        and not self.buses[place.number].feeds_effects
                    ):
                        self.fault(f"bus {place.number} does not feed the effects inside", item)
            at = self.desk.output_place("desk")
            sent = (self.count(item, "output"), self.count(item, "output", at))
            if inside and sent != (0, 0):
                self.fault(f"{effect.name} is made inside the desk and takes no output", item)
            elif not inside and (sent != (1, 1) or self.count(item, "effects unit")):
                self.fault(f"{effect.name} is outboard and its send takes an output at the desk", item)
            if not self.return_channels(effect, inside):
                if self.count(item, "stereo input") or self.count(item, "mic input"):
                    self.fault(f"the return of {effect.name} takes no input", item)
            elif not self.returned(item, effect.width):
                self.fault(
                    f"the return of {effect.name} takes a stereo input or {effect.width} microphone inputs",
                    item,
                )

    def return_channels(self, effect: Any, inside: bool) -> bool:
        """Whether the return needs input sockets."""
        if not inside:
            return True
        if self.desk.digital:
            return False
        reaches = self.desk.effects.return_to == "everything" or set(effect.heard_in) <= {"mains"}
        return self.desk.effects.returns != "dedicated" or not reaches

    def returned(self, item: str, width: int) -> bool:
        at = self.desk.input_place("desk")
        stereo, mono = self.count(item, "stereo input", at), self.count(item, "mic input", at)
        elsewhere = self.count(item, "stereo input") + self.count(item, "mic input") - stereo - mono
        return (stereo, mono) in ((1, 0), (0, width)) and not elsewhere

    def zones(self) -> None:
        """Each zone with anything of its own has a path, an output, and a delay that reaches its setting."""
        policy = self.gig.policy or load_policy()
        delayed = sum(
            z.width for z in self.gig.zones if z.distance_m and z.wants_own_path and z.delay_by == "unit"
        )
        if delayed > self.gig.kit.delays:
            self.fault(f"the kit has {self.gig.kit.delays} delays", "kit.delays")
        for zone in self.gig.zones:
            item = f"zone.{zone.name}"
            if not zone.wants_own_path:
                if self.of[item]:
                    self.fault(f"{zone.name} is linked through and takes nothing", item)
                continue
            paths = {on: self.count(item, on) for on in ("matrix", "group", "bus")}
            used = [on for on, number in paths.items() if number]
            if len(used) != 1 or paths[used[0]] != zone.width:
                self.fault(
                    f"{zone.name} takes a matrix, a group or a bus for each of {zone.width} channels", item
                )
            elif zone.fed_from in ("matrix", "group", "bus") and used[0] != zone.fed_from:
                self.fault(f"{zone.name} is to be fed from a {zone.fed_from}", item)
            elif used[0] == "group" and (zone.distance_m is not None or zone.trim_db or zone.own_level):
                self.fault(f"a group feeds only zones that follow the mains, and {zone.name} does not", item)
            elif used[0] == "bus":
                self.pair(item, zone.name, zone.width, zone.stereo)
                self.post(item, zone.name)
            at = self.desk.output_place(zone.at)
            if self.count(item, "output", at) != zone.width or self.count(item, "output") != zone.width:
                self.fault(f"{zone.name} takes {zone.width} outputs at the {at}", item)
            if zone.distance_m is not None and zone.delay_by == "desk":
                setting = zone_delay_ms(zone, self.gig, policy)
                reach = [o.delay_up_to_ms for o in self.desk.outputs if o.at == at for _ in range(o.line)]
                for place in self.of[item]:
                    if (
                        place.on == "output"
                        and place.number <= len(reach)
                        and reach[place.number - 1] < setting
                    ):
                        self.fault(
                            f"{zone.name} needs {setting:.1f} ms and output {place.number} gives less", item
                        )

    def feeds(self) -> None:
        """Each feed has a path that carries what it asks for, and outputs or tracks."""
        for feed in self.gig.feeds:
            item = f"feed.{feed.name}"
            if feed.carries == "each source":
                self.each_source(item, feed)
                continue
            paths = {on: self.count(item, on) for on in ("track", "record output", "matrix", "group", "bus")}
            used = [on for on, number in paths.items() if number]
            sockets = self.count(item, "output")
            if len(used) > 1 or any(paths[on] != feed.width for on in used):
                self.fault(f"{feed.name} takes one way, for each of {feed.width} channels", item)
                continue
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
            if sockets != wanted or self.count(item, "output", at) != wanted:
                self.fault(f"{feed.name} takes {wanted} outputs at the {at}", item)

    def each_source(self, item: str, feed: Any) -> None:
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
