"""The printed documents: a template for each, data that goes in as data, and a font that travels along."""

from .card import print_card
from .press import PAPERS, Printed, printed
from .worksheets import Asked, Box, Grid, Section, Solved, print_asked, print_sections, print_solved

__all__ = [
    "PAPERS",
    "Asked",
    "Box",
    "Grid",
    "Printed",
    "Section",
    "Solved",
    "print_asked",
    "print_card",
    "print_sections",
    "print_solved",
    "printed",
]
