"""The gig, the desk and the house policy, read from files into frozen values."""

from .desk import Bus, Desk, Inputs, Option, Outputs
from .edits import Edited, Step, apply
from .files import (
    BadFile,
    bundled,
    load_desk,
    load_gig,
    load_policy,
    read_desk,
    read_gig,
    read_policy,
    write_template,
    write_whole,
)
from .model import Effect, Feed, Gig, Line, Mix, Performer, Source, Span, Zone, most
from .policy import Policy, Price
from .reason import Reason, as_dict

__all__ = [
    "BadFile",
    "Bus",
    "Desk",
    "Edited",
    "Effect",
    "Feed",
    "Gig",
    "Inputs",
    "Line",
    "Mix",
    "Option",
    "Outputs",
    "Performer",
    "Policy",
    "Price",
    "Reason",
    "Source",
    "Span",
    "Step",
    "Zone",
    "apply",
    "as_dict",
    "bundled",
    "load_desk",
    "load_gig",
    "load_policy",
    "most",
    "read_desk",
    "read_gig",
    "read_policy",
    "write_template",
    "write_whole",
]
