"""A level in dBu as a voltage."""

import math

from gigsums.catalogue import Slip

from ..sums import Range, Sum, sum_topic

TOPIC = sum_topic(
    Sum(
        "volts from dBu",
        "The desk at {place} puts out {level_dbu}.",
        "What is that in volts, RMS?",
        {"level_dbu": Range(-20, 24, 2, 1, never=(-0.5, 0.5))},
        "0 dBu is 0.775 V; twenty decibels are ten times the voltage.",
        slips=(Slip("peak given for RMS", lambda voltage_v: math.sqrt(2) * voltage_v, "RMS was asked for."),),
    ),
    "gain structure",
    version=2,
)
