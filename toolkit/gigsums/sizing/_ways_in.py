"""The ways into a desk: sources, sub-mixers, talkback, and effects coming back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ..gig import Effect, Source
from .ways import Step, Stocks, Takes, Way


class InputWays(Stocks):
    """Every way a source could be plugged, with the steps it would need."""

    def source_ways(self, source: Source, owner: str) -> Iterator[Way]:
        home = self.desk.input_place(source.at)
        for at in self.in_places():
            moved = (Step("relocate", at),) if at != home else ()
            for way in self._level_ways(source, at, moved):
                yield replace(way, takes=(*way.takes, *self._kept(source.width)))
        if owner:
            yield Way(((f"sub {owner}", 1),), (), route="sub")
        if source.keep != "must":
            yield Way((), (Step(f"drop {source.keep}"),))

    def _kept(self, width: int) -> Iterator[tuple[str, float]]:
        """What a source that is mixed takes of the feeds that keep every source apart."""
        for stock in ("tracks", "direct"):
            yield from self.kept_apart(stock, width).items()

    def _level_ways(self, source: Source, at: str, moved: tuple[Step, ...]) -> Iterator[Way]:
        if not source.at_mic_level:
            yield from self.line_ways(source, at, moved)
            return
        phantom: Takes = {}
        if source.phantom == "needed":
            phantom = {f"needs:{at}": source.width}
        elif source.phantom == "forbidden":
            phantom = {f"harmed:{at}": source.width}
        sockets = (("mic input", at, source.width),)
        takes = {f"mic:{at}": source.width, "channels": self._cost(source, source.width), **phantom}
        yield Way(tuple(takes.items()), moved, sockets)
        if source.phantom == "forbidden":
            bare = {k: v for k, v in takes.items() if k not in phantom} | {
                "kit phantom_blockers": source.width
            }
            yield Way(tuple(bare.items()), (*moved, Step("phantom blocker")), sockets)
        line = replace(source, level="line", phantom="indifferent")
        if source.radio:
            for way in self.line_ways(line, at, moved):
                yield replace(way, steps=(*way.steps, Step("line level")))
        if self.gig.kit.preamps:
            for way in self.line_ways(line, at, moved):
                extra = (*way.takes, ("kit preamps", float(source.width)))
                yield replace(way, takes=extra, steps=(*way.steps, Step("outboard preamp")))

    def line_ways(self, source: Source, at: str, moved: tuple[Step, ...]) -> Iterator[Way]:
        if self.desk.digital:  # there a two-track return saves channels; elsewhere a channel is worth more
            yield from self._two_track_ways(source, at, moved)
        single, double = self._cost(source, 1), self._cost(source, source.width)
        stereo_input = Way(((f"stereo:{at}", 1), ("channels", single)), moved, (("stereo input", at, 1),))
        if source.stereo:
            yield stereo_input
        for kind, on in (("line", "line input"), ("mic", "mic input")):
            takes = ((f"{kind}:{at}", source.width), ("channels", double))
            yield Way(takes, moved, ((on, at, source.width),))
        if not source.stereo:
            yield stereo_input
        if source.stereo and self.stocks[f"line:{at}"] and self.stocks[f"mic:{at}"]:
            mixed = ((f"line:{at}", 1), (f"mic:{at}", 1), ("channels", double))
            yield Way(mixed, moved, (("line input", at, 1), ("mic input", at, 1)))
        if not self.desk.digital:
            yield from self._two_track_ways(source, at, moved)

    def _two_track_ways(self, source: Source, at: str, moved: tuple[Step, ...]) -> Iterator[Way]:
        reach = {place for i in self.desk.inputs if i.at == at and i.two_track for place in i.two_track_to}
        if source.stereo and source.heard_in is not None and set(source.heard_in) <= reach:
            yield Way(((f"two_track:{at}", 1),), moved, (("two-track return", at, 1),))

    def _cost(self, source: Source | Effect, sockets: int) -> int:
        """Channels: one a socket on an analogue desk; on a digital one what the desk asks for stereo."""
        if not self.desk.digital:
            return sockets
        return self.desk.stereo_takes if source.stereo else 1

    def sub_mixer_ways(self, owner: str, members: int) -> Iterator[Way]:
        yield Way((), route="none")
        made = Source(f"{owner}'s sub-mix", "line", stereo=True)
        for at in [self.desk.input_place("stage")]:
            for way in self.line_ways(made, at, ()):
                freed = ((f"sub {owner}", -float(members)), ("kit sub_mixers", 1.0))
                takes = (*way.takes, *self._kept(made.width), *freed)
                yield replace(way, takes=takes, steps=(Step("sub-mixer"),))

    def talkback_ways(self) -> Iterator[Way]:
        at = self.desk.input_place("desk")
        yield Way(((f"mic:{at}", 1), ("channels", 1)), (), (("mic input", at, 1),))

    def return_ways(self, effect: Effect) -> Iterator[Way]:
        at = self.desk.input_place("desk")
        yield Way(((f"stereo:{at}", 1), ("channels", self._cost(effect, 1))), (), (("stereo input", at, 1),))
        takes = ((f"mic:{at}", effect.width), ("channels", self._cost(effect, effect.width)))
        yield Way(takes, (), (("mic input", at, effect.width),))
