"""A table as plain text: columns no wider than they must be, and none where nothing stands."""

from __future__ import annotations

from collections.abc import Sequence

GAP = "  "


def table(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Rows under heads. Columns of whole numbers stand to the right, a column with nothing in it is left out."""
    texts = [[str(cell) for cell in row] for row in rows]
    kept = [n for n in range(len(heads)) if any(row[n] for row in texts)]
    wide = [max(len(heads[n]), *(len(row[n]) for row in texts)) for n in kept]
    right = [all(row[n].isdigit() for row in texts if row[n]) for n in kept]

    def line(cells: Sequence[str]) -> str:
        placed = (
            cells[n].rjust(size) if to_right else cells[n].ljust(size)
            for n, size, to_right in zip(kept, wide, right, strict=True)
        )
        return GAP.join(placed).rstrip()

    return "\n".join([line(heads), *(line(row) for row in texts)])
