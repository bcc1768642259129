"""The ways through and out of a desk: mixes, effects, zones, feeds, and boxes that may be added."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..gig import Effect, Feed, Mix, Option, Zone
from ._ways_in import InputWays
from .routes import at_unity
from .ways import Step, Takes, Way


class AllWays(InputWays):
    """Every way anything could be carried, with the steps it would need."""

    def mix_ways(self, mix: Mix) -> Iterator[Way]:
        if mix.keep != "must":
            yield Way((), (Step(f"drop {mix.keep}"),))
        if mix.fed_by == "personal mixer":
            yield from self._personal_ways(mix)
            return
        for width, steps in self._widths(mix):
            for at, moved in self._outs(mix.at):
                demand = "stereo_pre" if width == 2 and mix.is_stereo else "mono_pre"
                amount = 1 if demand == "stereo_pre" else width
                takes: Takes = {demand: amount, f"out:{at}": width}
                if "share" in mix.may and not mix.sub_send:
                    takes[f"hosts {self._share(mix)}"] = -1
                    if demand == "stereo_pre":
                        takes[f"stereo hosts {self._share(mix)}"] = -len(self.gig.mixes)
                yield Way(tuple(takes.items()), (*steps, *moved), (("output", at, width),), tap="pre")
            if "share" in mix.may and not mix.sub_send:
                kept: Takes = {f"hosts {self._share(mix)}": 1 / len(self.gig.mixes)}
                if width == 2 and mix.is_stereo:
                    kept[f"stereo hosts {self._share(mix)}"] = 1
                yield Way(tuple(kept.items()), (*steps, Step("share", self._share(mix))), route="shared")

    def _personal_ways(self, mix: Mix) -> Iterator[Way]:
        """By outputs of a digital desk, in their place; by direct outs of an analogue one, which has them once."""
        number = mix.personal_feeds
        if not self.desk.digital:
            yield Way((("direct", number), *self.kept_apart("direct", number).items()))
            return
        for at, moved in self._outs(mix.at):
            yield Way(((f"out:{at}", number),), moved, (("output", at, number),))

    def _share(self, mix: Mix) -> str:
        return f"{mix.through} {mix.at}"

    def _widths(self, mix: Mix) -> Iterator[tuple[int, tuple[Step, ...]]]:
        yield mix.width, ()
        if mix.is_stereo and "mono" in mix.may:
            yield 1, (Step("mono"),)

    def _outs(self, wanted: str) -> Iterator[tuple[str, tuple[Step, ...]]]:
        home = self.desk.output_place(wanted)
        for at in self.out_places():
            yield at, (() if at == home else (Step("relocate", at),))

    def effect_ways(self, effect: Effect) -> Iterator[Way]:
        desk = self.desk
        if effect.keep != "must":
            yield Way((), (Step(f"drop {effect.keep}"),))
        if effect.by == "desk":
            send: Takes = {"effects": 1}
            if desk.effects.send != "own":
                send["sends" if any(b.feeds_effects for b in desk.buses()) else "mono_post"] = 1
            reaches = desk.effects.return_to == "everything" or set(effect.heard_in) <= {"mains"}
            if desk.effects.returns == "dedicated" and reaches:
                yield Way(tuple(send.items()), route="inside", tap="post")
            elif desk.digital:
                send["channels"] = desk.return_channels(effect.width)
                yield Way(tuple(send.items()), route="inside", tap="post")
            else:
                for way in self.return_ways(effect):
                    yield replace(way, takes=(*send.items(), *way.takes), route="inside", tap="post")
        at = desk.output_place("desk")
        unit: Takes = {"mono_post": 1, f"out:{at}": 1, "kit effects": 1}
        steps = (Step("outboard effect"),) if effect.by == "desk" else ()
        for way in self.return_ways(effect):
            sits = (*way.sits, ("output", at, 1))
            yield Way((*unit.items(), *way.takes), steps, sits, "outboard", "post")

    def zone_ways(self, zone: Zone) -> Iterator[Way]:
        if not zone.wants_own_path:
            yield Way((), route="linked")
            return
        if zone.keep != "must":
            yield Way((), (Step(f"drop {zone.keep}"),))
        if zone.fed_from in ("bus", "group", "matrix") and at_unity(zone) and not zone.equaliser:
            yield Way((), (Step("reroute", "mains"),), route="linked")
        for route, demand in self._carriers(zone.width, at_unity(zone)):
            asked = zone.fed_from in ("any", route)
            steps = () if asked else (Step("reroute", route),)
            for at, moved in self._outs(zone.at):
                yield from self._delayed(
                    zone, Way(tuple(demand.items()), (*steps, *moved), (), route, "post"), at
                )

    def _delayed(self, zone: Zone, way: Way, at: str) -> Iterator[Way]:
        sits = (("output", at, zone.width),)
        out: Takes = {f"out:{at}": zone.width}
        if zone.distance_m is None or zone.delay_by == "unit":
            unit = {"kit delays": zone.width} if zone.distance_m is not None else {}
            yield replace(way, takes=(*way.takes, *out.items(), *unit.items()), sits=sits)
            return
        setting = self.delay(zone)
        for delay in self.delays:
            if delay <= setting:
                out[f"out {delay:.6f}:{at}"] = zone.width
        yield replace(way, takes=(*way.takes, *out.items()), sits=sits)
        plain = ((f"out:{at}", float(zone.width)), ("kit delays", float(zone.width)))
        yield replace(way, takes=(*way.takes, *plain), steps=(*way.steps, Step("outboard delay")), sits=sits)

    def _carriers(self, width: int, unity: bool) -> Iterator[tuple[str, Takes]]:
        yield "matrix", {"matrix": width}
        if unity:
            yield "group", {"group": width}
        yield "bus", {"stereo_post": 1} if width == 2 else {"mono_post": 1}

    def feed_ways(self, feed: Feed) -> Iterator[Way]:
        desk = self.desk
        if feed.carries == "each source":
            yield from self._each_source_ways(feed)
            return
        if feed.keep != "must":
            yield Way((), (Step(f"drop {feed.keep}"),))
        if feed.recorded and desk.recording.tracks and not feed.own_mix and feed.fed_from != "matrix":
            tracks = {"tracks": feed.width} | self.kept_apart("tracks", feed.width)
            yield Way(tuple(tracks.items()), route="recorder")
        for at, moved in self._outs(feed.at):
            if not feed.own_mix:
                asked = feed.fed_from != "matrix"
                steps = (*(() if asked else (Step("reroute", "mains"),)), *moved)
                yield Way(
                    ((f"record:{at}", feed.width),), steps, (("record output", at, feed.width),), "record"
                )
                if desk.digital:
                    yield Way(((f"out:{at}", feed.width),), steps, (("output", at, feed.width),), "mains")
            for route, demand in self._carriers(feed.width, not feed.own_mix):
                if feed.own_mix and route != "bus":
                    continue
                asked = feed.fed_from != "matrix" or route == "matrix"
                steps = (*(() if asked else (Step("reroute", route),)), *moved)
                takes = (*demand.items(), (f"out:{at}", float(feed.width)))
                yield Way(takes, steps, (("output", at, feed.width),), route, "post")

    def _each_source_ways(self, feed: Feed) -> Iterator[Way]:
        """On tracks inside where the recorder takes channels, else by direct outs; the sources take them."""
        number = sum(s.channels for _, s in self.gig.sources)
        most = float(number + sum(m.personal_feeds for m in self.gig.mixes))
        most += sum(number if f in self.apart else f.width for f in self.gig.feeds)
        free = {stock: (f"{stock} {feed.name}", -most) for stock in ("tracks", "direct")}
        others = [f.name for f in self.apart if f is not feed]
        if feed.keep != "must":
            yield Way(tuple(free.values()), (Step(f"drop {feed.keep}"),))
        if feed.recorded and self.desk.recording.source == "channels":
            takes = (free["direct"], *((f"tracks {name}", float(number)) for name in others))
            yield Way(takes, route="recorder")
        takes = (free["tracks"], *((f"direct {name}", float(number)) for name in others))
        yield Way(takes, route="direct")

    def option_ways(self, option: Option) -> Iterator[Way]:
        yield Way((), route="none")
        takes: Takes = {}
        if option.mic:
            takes[f"mic:{option.at}"] = takes[f"each:{option.at}"] = -option.mic
            if self.desk.about.channels is None:  # a channel for each input, the added ones too
                takes["channels"] = -option.mic
        if option.line_out:
            takes[f"out:{option.at}"] = -option.line_out
            like = max((o.delay_up_to_ms for o in self.desk.outputs if o.at == option.at), default=0.0)
            for delay in self.delays:
                if delay <= like:
                    takes[f"out {delay:.6f}:{option.at}"] = -option.line_out
        yield Way(tuple(takes.items()), (Step("stage box", option.name),))
