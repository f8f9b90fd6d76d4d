"""The few SVG elements that the drawings are put together from."""

from xml.sax.saxutils import escape, quoteattr

from .ink import CODE_FONT, INK, TEXT_FONT, num


def attributes(values: dict[str, str | float]) -> str:
    """Attributes in SVG's spelling: stroke_width becomes stroke-width."""
    return "".join(
        f" {name.replace('_', '-')}="
        + quoteattr(num(value) if isinstance(value, int | float) else value)
        for name, value in values.items()
    )


def line(x1: float, y1: float, x2: float, y2: float, **more: str | float) -> str:
    look: dict[str, str | float] = {"stroke": INK, "stroke_width": 1, **more}
    return f"<line{attributes({'x1': x1, 'y1': y1, 'x2': x2, 'y2': y2, **look})}/>"


def rect(x: float, y: float, width: float, height: float, **more: str | float) -> str:
    size: dict[str, str | float] = {"x": x, "y": y, "width": width, "height": height}
    return f"<rect{attributes({**size, **more})}/>"


def box(x1: float, x2: float, middle_y: float, height: float, **more: str | float) -> str:
    """A rectangle between two abscissas given in any order, centred on middle_y."""
    return rect(min(x1, x2), middle_y - height / 2, abs(x2 - x1), height, **more)


def circle(x: float, y: float, radius: float, **more: str | float) -> str:
    return f"<circle{attributes({'cx': x, 'cy': y, 'r': radius, **more})}/>"


def path(d: str, **more: str | float) -> str:
    return f"<path{attributes({'d': d, **more})}/>"


def text(
    x: float, y: float, words: str, size: float, *, condensed: bool = False, **more: str | float
) -> str:
    look: dict[str, str | float] = {
        "font_family": CODE_FONT if condensed else TEXT_FONT,
        "font_size": size,
        "fill": INK,
        **more,
    }
    return f"<text{attributes({'x': x, 'y': y, **look})}>{escape(words)}</text>"


def svg(
    width: float, height: float, title: str, body: list[str], css_class: str, role: str = "img"
) -> str:
    """A whole drawing with its name in words for those who cannot see it.

    role is "group" where something in it can be moved: what is in an "img" is not announced.
    """
    frame = attributes(
        {
            "class": css_class,
            "viewBox": f"0 0 {num(width)} {num(height)}",
            "width": width,
            "height": height,
            "role": role,
        }
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg"{frame}>'
        f"<title>{escape(title)}</title>{''.join(body)}</svg>"
    )


def symbol(uid: str, width: float, height: float, body: list[str]) -> str:
    """A drawing that is shown many times on one page: defined once, used by its id."""
    box_attributes = attributes({"id": uid, "viewBox": f"0 0 {num(width)} {num(height)}"})
    return f"<symbol{box_attributes}>{''.join(body)}</symbol>"


def used(
    uid: str, width: float, height: float, css_class: str, title: str = "", over: str = ""
) -> str:
    """The symbol as an <svg> of its own; `over` is drawn on top.

    `title` is its name in words; one without is an ornament beside words that say it all.
    """
    named = {"role": "img"} if title else {"aria_hidden": "true"}
    frame = attributes({"class": css_class, "viewBox": f"0 0 {num(width)} {num(height)}", **named})
    name = f"<title>{escape(title)}</title>" if title else ""
    return f'<svg{frame}>{name}<use href="#{escape(uid)}"/>{over}</svg>'
