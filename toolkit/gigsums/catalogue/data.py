"""Recording and radio."""

from __future__ import annotations

from gigsums.formulas import decibels, radio
from gigsums.quantities import BITS, BYTES, COUNT, RADIO, RUNNING_TIME, SAMPLE_RATE

from .declaration import Calculator, Input, Note, Result, Slip

_CARRIERS = tuple(f"carrier_{number}_mhz" for number in range(1, 5))

CALCULATORS = (
    Calculator(
        key="size of a recording",
        question="How much room does this recording take?",
        moment="advance",
        inputs=(
            Input("channels", "Channels", COUNT.within(1, 1024), 32),
            Input("duration_s", "Length", RUNNING_TIME, 3 * 3600, unit="h"),
            Input("sample_rate_hz", "Sample rate", SAMPLE_RATE, 48_000),
            Input("bits", "Sample size", BITS, 24, behind=True),
        ),
        results=(
            Result("size_bytes", "Size", BYTES, decibels.recording_bytes, unit="GB"),
            Result("binary_bytes", "In binary units", BYTES, decibels.recording_bytes, unit="GiB"),
        ),
        line="{channels} channels, {duration_s}, {sample_rate_hz}, {bits}: {size_bytes}",
        slips=(
            Slip("bits taken for bytes", lambda size_bytes: 8 * size_bytes, "Eight bits make a byte."),
            Slip(
                "four bytes a sample",
                lambda size_bytes, bits: size_bytes * 32 / bits,
                "24 bits are three bytes; ask whether the recorder writes 32.",
            ),
            Slip(
                "one channel counted",
                lambda size_bytes, channels: size_bytes / channels,
                "Every channel is kept.",
            ),
        ),
        caution="Keep as much again in hand, and never the only copy.",
        words="disk storage multitrack gigabytes gb card",
    ),
    Calculator(
        key="radio intermodulation",
        question="Do these carriers clash?",
        moment="advance",
        inputs=tuple(
            Input(name, f"Carrier {number}", RADIO, {1: 606.1, 2: 608.3}.get(number), behind=number > 3)
            for number, name in enumerate(_CARRIERS, start=1)
        ),
        lists={"frequencies_mhz": _CARRIERS},
        results=(
            Result("gap_mhz", "Smallest gap", RADIO, radio.smallest_gap),
            Result("products_mhz", "Products", RADIO, radio.third_order_products, many=True),
        ),
        line="{frequencies_mhz:, }: products {products_mhz}; smallest gap {gap_mhz}",
        slips=(
            Slip(
                "sum of two carriers",
                lambda frequencies_mhz: frequencies_mhz[0] + frequencies_mhz[1],
                "That product lies far away; twice one less the other falls close by.",
            ),
        ),
        notes=(Note("A product falls on a carrier.", lambda gap_mhz: gap_mhz < 0.025),),
        caution="Which bands may be used, and with what licence, is local law.",
        words="third order frequency wireless transmitter coordination mhz",
    ),
)
