"""Which heat-shrink goes over an end, and how long to cut it."""

from sqlalchemy.orm import Session

from webapp.pages.forms import Form
from webapp.sizing.heat_shrink import RATIOS, choose_heat_shrink, heat_shrink_cut_mm
from webapp.sizing.heat_shrink import standard_heat_shrink as sizes_of

from .answer import Answer, Calculator, Figure, about

RATIO_CHOICES = tuple((f"{ratio:g}", f"{ratio:g} : 1") for ratio in RATIOS)


def work(form: Form, _session: Session) -> Answer | None:
    form.number("passes_over_mm", "Passes over", unit="mm", above=0, most=1000)
    form.number("grips_mm", "Grips", unit="mm", above=0, most=1000)
    form.number("covered_length_mm", "Covers", unit="mm", above=0, most=100_000)
    form.number("ratio", "Ratio", above=1, most=10)
    if form.errors:
        return None
    values = form.values
    choice = choose_heat_shrink(
        sizes_of(values["ratio"]),
        passes_over_mm=values["passes_over_mm"],
        grips_mm=values["grips_mm"],
    )
    chosen = choice.heat_shrink
    cut = heat_shrink_cut_mm(values["covered_length_mm"], chosen.longitudinal_change_percent)
    return Answer(
        says=f"Take {chosen.uid}, cut {about(cut.value)} mm long.",
        figures=(
            Figure("Size", chosen.uid, f"{about(values['ratio'])} : 1"),
            Figure("As supplied", f"{about(chosen.expanded_mm)} mm", "inside, at least"),
            Figure("Recovered", f"{about(chosen.recovered_mm)} mm", "inside, at most"),
            Figure("Cut", f"{about(cut.value)} mm"),
        ),
        reasons=[*choice.reasons, *cut.reasons],
    )


CALCULATOR = Calculator(
    slug="heat-shrink",
    title="Heat-shrink",
    about="The size that passes over the largest thing and grips the smallest.",
    defaults={
        "passes_over_mm": "5.5",
        "grips_mm": "3.4",
        "covered_length_mm": "25",
        "ratio": "2",
    },
    work=work,
    caution=("Hot air.", "Keep it off fuel, thin insulation and hands; air the place."),
    choices={"ratio": RATIO_CHOICES},
)
