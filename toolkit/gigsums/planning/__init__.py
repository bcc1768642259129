"""Planning: what is on paper before the van is loaded. The input list, the patch, what leaves by which socket."""

from .inputs import InputList, InputRow, input_list
from .outputs import OutputList, OutputRow, output_list
from .patch import Patch, in_list_order, patch

__all__ = [
    "InputList",
    "InputRow",
    "OutputList",
    "OutputRow",
    "Patch",
    "in_list_order",
    "input_list",
    "output_list",
    "patch",
]
