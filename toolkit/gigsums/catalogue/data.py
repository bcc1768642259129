"""Recording, radio and cells."""

from __future__ import annotations

from gigsums.formulas import decibels, kit, radio
from gigsums.quantities import BITS, BYTES, COUNT, DURATION, FRACTION, RADIO, RUNNING_TIME, SAMPLE_RATE

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
        picture="carriers",
        words="rf third order frequency wireless transmitter coordination mhz",
    ),
    Calculator(
        key="cells for a pack",
        question="How many sets of cells for this pack?",
        moment="advance",
        inputs=(
            Input("hours_h", "On for", DURATION.within(0.1, 24), 6),
            Input("life_h", "Stated life", DURATION.within(0.1, 24), 6),
            Input("spare_sets", "Spare sets", COUNT.within(0, 10), 1, behind=True),
            Input("usable_part", "Planned on", FRACTION.within(0.05, 1), 0.7, behind=True),
        ),
        results=(Result("sets", "Sets of cells", COUNT, kit.battery_sets),),
        line="{hours_h} on cells of {life_h}, {usable_part} of it planned on, {spare_sets} spare: {sets} sets",
        slips=(
            Slip(
                "no spare, all of the life",
                lambda hours_h, life_h: kit.battery_sets(hours_h, life_h, 1, 0),
                "Cells seldom last as long as it says, and one set will be left in a case.",
            ),
        ),
        caution="Charge lithium cells attended, on nothing that burns; count spent ones back in.",
        words="battery batteries radio microphone in-ear transmitter",
    ),
)
