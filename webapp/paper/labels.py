"""Labels on sheets and rolls, every one at exactly the size of its stock."""

from collections.abc import Sequence

from markupsafe import Markup

from webapp.drawings.ink import SOFT, num
from webapp.drawings.shapes import rect

from .label_layout import label_shapes
from .label_values import Label
from .render import html_from, pdf_from
from .stock import LabelStock, TapeStock

OUTLINE_MM = 0.1


def labels_pdf(
    stock: LabelStock | TapeStock, labels: Sequence[Label], *, outline: bool = True
) -> bytes:
    """The labels as PDF, in the order given; to be printed at 100 %.

    outline draws a hairline around each label, its outer edge at the label's exact size: wanted
    on plain paper that is cut by hand, not on cut labels. Raises PaperUnavailable; ValueError
    when there is no label.
    """
    return pdf_from(labels_html(stock, labels, outline=outline))


def labels_html(
    stock: LabelStock | TapeStock, labels: Sequence[Label], *, outline: bool = True
) -> str:
    """The pages of labels as HTML; one drawing a page."""
    if not labels:
        raise ValueError("There is no label to print.")
    if isinstance(stock, TapeStock):
        width, height = stock.label_length_mm, stock.width_mm
        pages = [
            _page(width, height, [_label(one, 0, 0, width, height, stock.margin_mm, outline)])
            for one in labels
        ]
    else:
        width, height = stock.page_width_mm, stock.page_height_mm
        pages = _sheets(stock, labels, outline)
    return html_from("labels.html", width_mm=num(width), height_mm=num(height), pages=pages)


def _sheets(stock: LabelStock, labels: Sequence[Label], outline: bool) -> list[Markup]:
    each = stock.columns * stock.rows
    places: list[Label | None] = [*[None] * (stock.start_position - 1), *labels]
    return [
        _page(
            stock.page_width_mm,
            stock.page_height_mm,
            [_placed(stock, i, one, outline) for i, one in enumerate(sheet) if one],
        )
        for sheet in (places[i : i + each] for i in range(0, len(places), each))
    ]


def _placed(stock: LabelStock, position: int, label: Label, outline: bool) -> str:
    row, column = divmod(position, stock.columns)
    x = stock.margin_left_mm + stock.offset_x_mm + column * stock.pitch_x_mm
    y = stock.margin_top_mm + stock.offset_y_mm + row * stock.pitch_y_mm
    return _label(label, x, y, stock.width_mm, stock.height_mm, 0.8, outline)


def _label(
    label: Label, x: float, y: float, width: float, height: float, margin: float, outline: bool
) -> str:
    shapes = label_shapes(label, width, height, margin)
    if outline:
        inset = OUTLINE_MM / 2
        look: dict[str, str | float] = {"fill": "none", "stroke": SOFT, "stroke_width": OUTLINE_MM}
        shapes.append(rect(inset, inset, width - OUTLINE_MM, height - OUTLINE_MM, **look))
    return f'<g transform="translate({num(x)} {num(y)})">{"".join(shapes)}</g>'


def _page(width: float, height: float, groups: list[str]) -> Markup:
    size = f'width="{num(width)}mm" height="{num(height)}mm"'
    frame = f'viewBox="0 0 {num(width)} {num(height)}"'
    return Markup(f'<svg xmlns="http://www.w3.org/2000/svg" {size} {frame}>{"".join(groups)}</svg>')
