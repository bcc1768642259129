"""Amplifiers, cables, mains and batteries."""

from gigsums.catalogue import Slip
from gigsums.formulas.cables import stock_length_m
from gigsums.formulas.kit import battery_sets

from ..sums import Calculation, Options, Range, sum_topic

TOPICS = (
    # The load that boxes make side by side
    sum_topic(
        Calculation(
            "loudspeakers side by side",
            "Boxes of {impedances_ohm} are to hang side by side on one amplifier channel at {place}. It takes no less than "
            "{least_ohm}.",
            "What load do they make?",
            {
                "impedances_ohm": Options((4, 8, 8, 16), many=((2, 2), (2, 3), (3, 4))),
                "least_ohm": Options((2, 4)),
            },
            "Each box lets its own current through: add the inverses, and turn the sum over.",
            slips=(
                Slip(
                    "lowest taken",
                    lambda impedances_ohm: min(impedances_ohm),
                    "The others take current too.",
                ),
                Slip(
                    "sum of the inverses left as it is",
                    lambda load_ohm: 1 / load_ohm,
                    "One step is missing at the end.",
                ),
            ),
        ),
        "power and cables",
        version=3,
    ),
    # The cable from stock for a run along the edges of a stage
    sum_topic(
        Calculation(
            "cable for a run",
            "At {place} a cable runs along the edges of the stage, {dx_m} across and {dy_m} up, and {slack_m} are kept for "
            "the ends. In stock are cables of 3, 5, 10, 15 and 20 m; what is longer is joined from as few as can be, and those no longer than need be.",
            "How much cable is taken from stock for it?",
            {
                "dx_m": Range(1, 18, 1, 0.5),
                "dy_m": Range(1, 10, 1, 0.5),
                "slack_m": Options((2, 3)),
            },
            "Add the two ways and the slack, and take the next length from stock that reaches.",
            slips=(
                Slip(
                    "slack left out",
                    lambda dx_m, dy_m: stock_length_m(dx_m, dy_m, slack_m=0),
                    "Both ends need something to spare.",
                ),
                Slip(
                    "length measured, not taken from stock",
                    lambda dx_m, dy_m, slack_m: abs(dx_m) + abs(dy_m) + slack_m,
                    "Is there a cable of that length on the shelf?",
                ),
            ),
        ),
        "power and cables",
        version=3,
    ),
    # Sets of cells for a radio pack, the spare ones included
    sum_topic(
        Calculation(
            "cells for a pack",
            "At {place} a radio pack is on for {hours_h}. Its cells are said to last {life_h}; the house plans on "
            "{usable_part} of that, and keeps {spare_sets} spare.",
            "How many sets of cells go in the bag for it?",
            {
                "hours_h": Range(2, 14, 1, 0.5),
                "life_h": Options((4, 5, 6, 8, 10)),
                "usable_part": Options((0.7, 0.8)),
                "spare_sets": Options((1, 2)),
            },
            "Divide the hours by the part of the life that is planned on, take the next whole set, add the spare ones.",
            slips=(
                Slip(
                    "spare left out",
                    lambda hours_h, life_h, usable_part: battery_sets(hours_h, life_h, usable_part, 0),
                    "What if a set is flat when it comes out of the case?",
                ),
                Slip(
                    "all of the stated life",
                    lambda hours_h, life_h, spare_sets: battery_sets(hours_h, life_h, 1, spare_sets),
                    "Do cells last as long as it says on them?",
                ),
            ),
        ),
        "power and cables",
        version=3,
    ),
    # What a mains circuit may be planned for
    sum_topic(
        Calculation(
            "load on a circuit",
            "A circuit at {place} is rated at {rating_a} and {voltage_v}. The amplifiers on it have a power factor of "
            "{power_factor}. It is planned to {planning_fraction} of its rating.",
            "How many watts of mains power may be planned for it?",
            {
                "rating_a": Options((10, 13, 15, 16, 20, 30, 32)),
                "voltage_v": Options((120, 230, 240)),
                "power_factor": Range(0.6, 0.95, 0.05, 0.01),
                "planning_fraction": Options((0.8,)),
            },
            "Rating times share times supply gives volt-amperes; the power factor says how much of that is watts.",
            slips=(
                Slip(
                    "share left out",
                    lambda load_w, planning_fraction: load_w / planning_fraction,
                    "How much of the rating is to be used?",
                ),
                Slip(
                    "divided by the power factor",
                    lambda load_w, power_factor: load_w / power_factor**2,
                    "Are watts more than volt-amperes, or fewer?",
                ),
            ),
        ),
        "power and cables",
        version=2,
    ),
    # The amplifier of a 70 or 100 V line
    sum_topic(
        Calculation(
            "constant-voltage line",
            "{count} small speakers hang on a 100 V line at {place}, each tapped at {tap_w}. The amplifier is to have "
            "{allowance} times what they take.",
            "How many watts must the amplifier have?",
            {
                "count": Range(4, 40, 2, 1),
                "tap_w": Options((2.5, 5, 6, 7.5, 10, 12, 15, 20, 30)),
                "allowance": Options((1.2, 1.25, 1.3)),
            },
            "Add the taps of all of them, and keep something over for transformers and cable.",
        ),
        "power and cables",
    ),
    # The current that a load draws
    sum_topic(
        Calculation(
            "current of a load",
            "The amplifiers at {place} take {power_w} from a supply of {voltage_v}, with a power factor of {power_factor}.",
            "What current do they draw?",
            {
                "power_w": Range(400, 3000, 200, 50),
                "voltage_v": Options((120, 230, 240)),
                "power_factor": Range(0.6, 0.95, 0.05, 0.01),
            },
            "Watts over volts over the power factor.",
            nudge="Does a bad power factor draw more current or less?",
        ),
        "power and cables",
        version=2,
    ),
    # The size of a generator
    sum_topic(
        Calculation(
            "generator",
            "{act} play at {ground}. Everything together takes {load_kw} with a power factor of {power_factor}. "
            "The generator is to run at no more than {loading} of its rating.",
            "How large must it be, in kVA?",
            {
                "load_kw": Range(2, 30, 1, 0.2),
                "power_factor": Range(0.6, 0.95, 0.05, 0.01),
                "loading": Options((0.7, 0.75, 0.8)),
            },
            "Watts over the power factor are volt-amperes; over the share to be used they are the rating.",
            slips=(
                Slip(
                    "power factor left out",
                    lambda load_kw, loading: load_kw / loading,
                    "A generator is rated in kVA. What turns watts into volt-amperes?",
                ),
            ),
            nudge="Two things make it larger than the load in kilowatts.",
        ),
        "power and cables",
        version=2,
    ),
    # What a loudspeaker cable takes
    sum_topic(
        Calculation(
            "loss in a loudspeaker cable",
            "{length_m} of two-core copper of {area_mm2} lead to a load of {impedance_ohm} at {place}. The copper is at "
            "{temperature_c}, where a metre of 1 mm² has 0.0175 Ω.",
            "By how much does the cable change the level? A loss has a minus sign.",
            {
                "length_m": Range(20, 60, 10, 1, other=("ft", 60, 200, 5)),
                "area_mm2": Options((1.5, 2.5, 4)),
                "impedance_ohm": Options((4, 8)),
                "temperature_c": Options((20,)),
            },
            "The copper of both conductors stands in front of the load and shares the voltage with it.",
            slips=(
                Slip(
                    "taken as power",
                    lambda loss_db: loss_db / 2 if loss_db < -1 else float("nan"),
                    "It is a voltage that is divided: twenty times the logarithm.",
                ),
            ),
            within=0.03,
        ),
        "power and cables",
        version=2,
    ),
    # What is lost along a mains cable
    sum_topic(
        Calculation(
            "volt drop",
            "{current_a} flow through {length_m} of mains cable with conductors of {area_mm2} at {place}. The supply is "
            "{voltage_v}, single phase, and the copper is at {temperature_c}, "
            "where a metre of 1 mm² has 0.0175 Ω.",
            "How many volts are lost on the way?",
            {
                "current_a": Range(4, 13, 1, 0.5),
                "length_m": Range(10, 60, 10, 1, other=("ft", 30, 200, 10)),
                "area_mm2": Options((1.5, 2.5, 4)),
                "voltage_v": Options((120, 230)),
                "temperature_c": Options((20,)),
            },
            "Resistance times current, for the copper out and the copper back.",
            slips=(
                Slip(
                    "per cent given for volts",
                    lambda drop_v, voltage_v: 100 * drop_v / voltage_v,
                    "That is the share of the supply, in per cent.",
                ),
            ),
        ),
        "power and cables",
        version=2,
    ),
)
