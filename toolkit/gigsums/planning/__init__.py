"""Planning: what is on paper before the van is loaded. The input list, the patch, what leaves by which socket, the bag."""

from .bag import BagList, BagRow, bag
from .lists import (
    InputList,
    InputRow,
    OutputList,
    OutputRow,
    Patch,
    in_list_order,
    input_list,
    output_list,
    patch,
)

__all__ = [
    "BagList",
    "BagRow",
    "InputList",
    "InputRow",
    "OutputList",
    "OutputRow",
    "Patch",
    "bag",
    "in_list_order",
    "input_list",
    "output_list",
    "patch",
]
