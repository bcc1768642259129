"""How late a chain of buffers and converters makes the sound."""

from gigsums.catalogue import Slip

from ..sums import Options, Range, Sum, sum_topic


def _shortest(
    latency_ms: float, buffer_samples: list[float], sample_rate_hz: float, *others_ms: float
) -> float:
    waits = (*(1000 * each / sample_rate_hz for each in buffer_samples), *others_ms)
    return latency_ms - min(wait for wait in waits if wait)


BUFFERS = (16, 32, 64, 128, 256)

TOPIC = sum_topic(
    Sum(
        "latency of a chain",
        "{who} of {act} sings through a chain with buffers of {buffer_samples}, at a sample rate of {sample_rate_hz}. "
        "The converters take {converters_ms}, the network {network_ms} and the radio link {radio_ms}.",
        "How late does it all make the voice?",
        {
            "buffer_samples": Options(BUFFERS, many=((2, 2), (2, 3), (3, 4))),
            "sample_rate_hz": Options((44_100, 48_000, 96_000)),
            "converters_ms": Range(0.5, 2, 0.5, 0.1),
            "network_ms": Range(0, 3, 1, 0.5),
            "radio_ms": Range(0, 6, 2, 0.5),
        },
        "Turn the samples of every buffer into time, and add whatever else waits.",
        slips=(
            Slip(
                "buffers alone counted",
                lambda buffer_samples, sample_rate_hz: 1000 * sum(buffer_samples) / sample_rate_hz,
                "Not only the buffers take time.",
            ),
            Slip(
                "the shortest wait left out",
                lambda latency_ms, buffer_samples, sample_rate_hz, converters_ms, network_ms, radio_ms: (
                    _shortest(latency_ms, buffer_samples, sample_rate_hz, converters_ms, network_ms, radio_ms)
                ),
                "Go along the whole chain: how many things make the sound wait?",
            ),
        ),
    ),
    "time and distance",
    version=3,
)
