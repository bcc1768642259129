"""Power, mains and cables."""

from __future__ import annotations

import math

from gigsums.formulas import cables, mains
from gigsums.quantities import (
    CABLE_AREA,
    COUNT,
    CURRENT,
    DECIBELS,
    DISTANCE,
    FRACTION,
    IMPEDANCE,
    KILOVOLTAMPERES,
    KILOWATTS,
    POSITION,
    POWER,
    POWER_FACTOR,
    SUPPLY,
    TEMPERATURE,
    VOLTAGE,
)

from .declaration import LIGHTING_PART, MAINS, USUAL_PART, Calculator, Input, Note, Result, Slip

_BOXES = tuple(f"box_{number}_ohm" for number in range(1, 7))
_SIGNED = POSITION.within(-300)
_COPPER = TEMPERATURE.within(-20, 90)


def _straight_across(dx_m: float, dy_m: float, slack_m: float, cable_m: float) -> float:
    """The cable for the straight line; nothing where the same one is long enough for the edges."""
    across_m = float(cables.stock_length_m(math.hypot(dx_m, dy_m), 0, slack_m=slack_m))
    return math.nan if across_m == cable_m else across_m


CALCULATORS = (
    Calculator(
        key="loudspeakers side by side",
        question="What load do these boxes make together?",
        moment="load-in",
        inputs=(
            *(
                Input(name, f"Box {number}", IMPEDANCE, 8 if number < 4 else None, behind=number > 3)
                for number, name in enumerate(_BOXES, start=1)
            ),
            Input("least_ohm", "Amplifier's least load", IMPEDANCE, 2, behind=True),
        ),
        lists={"impedances_ohm": _BOXES},
        results=(Result("load_ohm", "Load", IMPEDANCE.shown_to(2), cables.parallel_impedance),),
        line="{impedances_ohm:, } side by side: {load_ohm}, least load {least_ohm}",
        slips=(
            Slip(
                "added up",
                lambda impedances_ohm: sum(impedances_ohm),
                "In a row they add up; side by side each one lowers the load.",
            ),
            Slip(
                "mean taken",
                lambda impedances_ohm: sum(impedances_ohm) / len(impedances_ohm),
                "The load is below the lowest of them.",
            ),
        ),
        notes=(
            Note(
                "Below the amplifier's least load: it does not fit.",
                lambda load_ohm, least_ohm: load_ohm < least_ohm,
            ),
        ),
        caution="Nominal impedances; the amplifier's maker says how low one channel may go.",
        words="parallel impedance ohm load amplifier channel wedges",
    ),
    Calculator(
        key="constant-voltage line",
        question="What amplifier for this 70 or 100 V line?",
        moment="advance",
        inputs=(
            Input("count", "Loudspeakers", COUNT.within(1, 500), 12),
            Input("tap_w", "Each tapped at", POWER, 10),
            Input("count_2", "Loudspeakers, second kind", COUNT.within(1, 500), behind=True),
            Input("tap_2_w", "Each of these tapped at", POWER, behind=True),
            Input("allowance", "Amplifier over the sum", FRACTION.within(1, 3), 1.25, behind=True),
        ),
        lists={"taps_w": ("tap_w*count", "tap_2_w*count_2")},
        results=(Result("power_w", "Amplifier", POWER, cables.constant_voltage_watts),),
        line="{taps_w}, × {allowance} = {power_w}",
        slips=(
            Slip(
                "allowance left out",
                lambda taps_w: sum(taps_w),
                "Transformers and cable take their share: the amplifier has to be larger than the sum.",
            ),
            Slip(
                "one loudspeaker counted",
                lambda taps_w, allowance: taps_w[0] * allowance,
                "Every tap draws its watts.",
            ),
        ),
        caution="A line of 70 or 100 V can hurt: a competent person connects it, with the amplifier off.",
        words="70 V 100 V line tap ceiling paging transformer",
    ),
    Calculator(
        key="loss in a loudspeaker cable",
        question="What does this cable take?",
        moment="load-in",
        inputs=(
            Input("length_m", "Length", DISTANCE, 30),
            Input("area_mm2", "Conductor", CABLE_AREA, 2.5),
            Input("impedance_ohm", "Load", IMPEDANCE, 4),
            Input("temperature_c", "Copper", _COPPER, 20, behind=True),
        ),
        results=(
            Result("loss_db", "Change of level", DECIBELS.shown_to(2), cables.speaker_cable_loss_db),
            Result(
                "conductor_ohm",
                "One conductor",
                IMPEDANCE.shown_to(2, 2),
                cables.conductor_resistance,
            ),
        ),
        line="{length_m} of {area_mm2} into {impedance_ohm} at {temperature_c}: {loss_db}",
        slips=(
            Slip(
                "one conductor counted",
                lambda length_m, area_mm2, impedance_ohm, temperature_c: cables.speaker_cable_loss_db(
                    length_m / 2, area_mm2, impedance_ohm, temperature_c
                ),
                "The current goes out and comes back: twice the length of copper.",
            ),
        ),
        notes=(
            Note(
                "More than half a decibel: go thicker, shorter, or move the amplifier.",
                lambda loss_db: loss_db < -0.5,
            ),
        ),
        caution="Resistance alone, for the load as printed on the box; thick cable does not replace a rating.",
        words="speaker cable resistance damping copper mm2",
    ),
    Calculator(
        key="load on a circuit",
        question="How many watts may this circuit be planned for?",
        moment="advance",
        inputs=(
            Input("rating_a", "Rating", CURRENT.within(1, 630), 16),
            Input("voltage_v", "Supply", SUPPLY, 230),
            Input("power_factor", "Power factor", POWER_FACTOR, 0.8),
            Input("planning_fraction", "Share of the rating", FRACTION, 0.8, behind=True),
        ),
        results=(
            Result("load_w", "Load", POWER, mains.circuit_load),
            Result(
                "load_va",
                "In volt-amperes",
                KILOVOLTAMPERES,
                mains.circuit_load,
                fixed={"power_factor": 1},
                times=0.001,
            ),
        ),
        line="{rating_a} × {planning_fraction} at {voltage_v}, power factor {power_factor}: {load_w}",
        slips=(
            Slip(
                "full rating used",
                lambda rating_a, voltage_v: rating_a * voltage_v,
                "Plan for four fifths of the rating, and watts are fewer than volt-amperes.",
            ),
            Slip(
                "power factor left out",
                lambda load_w, power_factor: load_w / power_factor,
                "Those are volt-amperes; watts are what the power factor leaves of them.",
            ),
        ),
        caution=f"Mains watts, not the audio watts of an amplifier. {MAINS}",
        words="mains power breaker ampere socket circuit",
    ),
    Calculator(
        key="current of a load",
        question="How many amperes does this draw?",
        moment="load-in",
        inputs=(
            Input("power_w", "Mains power", POWER, 3000),
            Input("voltage_v", "Supply", SUPPLY, 230),
            Input("power_factor", "Power factor", POWER_FACTOR, 0.9),
        ),
        results=(Result("current_a", "Current", CURRENT, mains.line_current),),
        line="{power_w} at {voltage_v}, power factor {power_factor}: {current_a}",
        slips=(
            Slip(
                "power factor left out",
                lambda current_a, power_factor: current_a * power_factor,
                "A low power factor draws more current for the same watts: divide by it.",
            ),
            Slip(
                "multiplied by the power factor",
                lambda current_a, power_factor: current_a * power_factor**2,
                "Divide by it: the current is larger, not smaller.",
            ),
        ),
        caution=f"Single phase, running, without the inrush at switching on. {MAINS}",
        words="mains ampere watts phase",
    ),
    Calculator(
        key="volt drop",
        question="What is lost along this mains cable?",
        moment="load-in",
        inputs=(
            Input("length_m", "Length", DISTANCE, 50),
            Input("current_a", "Current", CURRENT, 10),
            Input("area_mm2", "Conductor", CABLE_AREA, 1.5),
            Input("voltage_v", "Supply", SUPPLY, 230, behind=True),
            Input("temperature_c", "Copper", _COPPER, 20, behind=True),
        ),
        results=(Result("drop_v", "Lost", VOLTAGE, mains.voltage_drop),),
        line="{length_m} of {area_mm2} at {current_a}, copper {temperature_c}: {drop_v} of {voltage_v}",
        slips=(
            Slip(
                "one conductor counted",
                lambda drop_v: drop_v / 2,
                "The current goes out and comes back: twice the length of copper.",
            ),
        ),
        notes=(
            Note(
                f"More than {100 * LIGHTING_PART:g} % of the supply, a usual limit for lighting.",
                lambda drop_v, voltage_v: LIGHTING_PART * voltage_v < drop_v <= USUAL_PART * voltage_v,
            ),
            Note(
                f"More than {100 * USUAL_PART:g} % of the supply, a usual limit.",
                lambda drop_v, voltage_v: drop_v > USUAL_PART * voltage_v,
            ),
        ),
        caution=f"A hot cable loses a fifth more; meeting a limit says nothing about protection. {MAINS}",
        picture="voltage along a cable",
        words="voltage mains cable extension percent",
    ),
    Calculator(
        key="generator",
        question="How large a generator?",
        moment="advance",
        inputs=(
            Input("load_kw", "Load", KILOWATTS, 3.6),
            Input("power_factor", "Power factor", POWER_FACTOR, 0.8),
            Input("loading", "Loaded to", FRACTION, 0.75, behind=True),
        ),
        results=(Result("rating_kva", "Generator", KILOVOLTAMPERES, mains.generator_kva),),
        line="{load_kw}, power factor {power_factor}, loaded to {loading}: {rating_kva}",
        slips=(
            Slip(
                "kilowatts taken for kilovolt-amperes",
                lambda load_kw: load_kw,
                "A generator is rated in kVA, and should not run at its limit.",
            ),
            Slip(
                "loading left out",
                lambda load_kw, power_factor: load_kw / power_factor,
                "A generator should not run at its limit: how much of it is to be used?",
            ),
        ),
        caution=f"Inrush, altitude and heat come on top; mind fumes and earthing. {MAINS}",
        words="genset kva kw fuel",
    ),
    Calculator(
        key="cable for a run",
        question="Which cable from stock for this run?",
        moment="load-in",
        inputs=(
            Input("dx_m", "Across the stage", _SIGNED, 6),
            Input("dy_m", "Up the stage", _SIGNED, 2),
            Input("slack_m", "For both ends", POSITION.within(most=50), 3, behind=True),
        ),
        results=(Result("cable_m", "Cable", DISTANCE, cables.stock_length_m),),
        line="{dx_m} across and {dy_m} up + {slack_m}: {cable_m}",
        slips=(
            Slip(
                "straight across",
                _straight_across,
                "Cables run along edges, not across where people walk.",
            ),
        ),
        notes=(Note("Longer than the longest in stock: joined pieces.", lambda cable_m: cable_m > 20),),
        caution="Keep ways out clear; ramp, tape or fly what crosses a path.",
        words="length stock xlr run lead",
    ),
)
