"""A survey's table on the report's page."""

from __future__ import annotations

from html import escape

from assistant.records.summary.layout import first_up
from assistant.records.summary.positions import Cell, PositionsTable


def positions_html(table: PositionsTable | None) -> str:
    """The table with what it came from read once and what stands out; '' where there is none."""
    if table is None:
        return ""
    heads = "".join(f"<th>{escape(first_up(head))}</th>" for head in ("position", *table.heads))
    rows = "".join(
        f"<tr><th scope='row'>{escape(first_up(place))}</th>{''.join(_position(cell) for cell in cells)}</tr>"
        for place, cells in table.rows
    )
    body = f"<thead><tr>{heads}</tr></thead><tbody>{rows}</tbody>"
    grid = f"<div class='wide'><table class='positions'>{body}</table></div>"
    legend = f"<p class='key'>{escape(first_up(table.legend))}.</p>" if table.legend else ""
    whole = "".join(f"<p>{escape(first_up(title))}: {escape(cell.signed)}</p>" for title, cell in table.whole)
    remarks = "".join(f"<p>{escape(first_up(remark))}</p>" for remark in table.remarks)
    return f"<h2>Every position</h2>{legend}{whole}{grid if table.rows else ''}{remarks}"


def _position(cell: Cell) -> str:
    return f"<td class='{'close' if cell.mark == 'apart' else cell.mark}'>{escape(cell.signed)}</td>"
