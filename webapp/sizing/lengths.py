"""Cut length of a wire."""

import math

from webapp.sizing.reasons import COMMON_PRACTICE, Reason, Result, number, whole_number

LONGEST_MM = 1_000_000


def wire_length_mm(
    route_mm: int,
    *,
    allowance_from_mm: int = 0,
    allowance_to_mm: int = 0,
    slack_percent: float = 0.0,
    round_up_to_mm: int = 1,
) -> Result:
    """Length to cut a wire to.

    Args:
        route_mm: Length of the runs that it follows. [mm]
        allowance_from_mm: Extra at the end it starts from, for the breakout and the strip. [mm]
        allowance_to_mm: The same at the other end. [mm]
        slack_percent: Share of the route added for bends and remaking an end. [%]
        round_up_to_mm: Step that the length is rounded up to. [mm]

    Returns:
        Length. [mm]

    Raises:
        SizingError: a value that is no whole number, negative, or out of range.

    Source: common practice; AC 43.13-1B Chg 1 par 11-118 asks for slack to remake an end twice.
    """
    inputs = {
        "route_mm": whole_number(route_mm, "route_mm", high=LONGEST_MM),
        "allowance_from_mm": whole_number(allowance_from_mm, "allowance_from_mm", high=LONGEST_MM),
        "allowance_to_mm": whole_number(allowance_to_mm, "allowance_to_mm", high=LONGEST_MM),
        "slack_percent": number(slack_percent, "slack_percent", high=100, unit="%"),
        "round_up_to_mm": whole_number(round_up_to_mm, "round_up_to_mm", low=1, high=LONGEST_MM),
    }
    wanted_mm = (
        inputs["route_mm"] * (1 + inputs["slack_percent"] / 100)
        + inputs["allowance_from_mm"]
        + inputs["allowance_to_mm"]
    )
    # A billionth off, so that 1000 × 1.05 is not rounded up for the sake of its last binary digit.
    steps = math.ceil(wanted_mm / inputs["round_up_to_mm"] - 1e-9)
    cut_mm = steps * inputs["round_up_to_mm"]
    reason = Reason(
        text="Route with slack, an allowance at either end, rounded up.",
        name="length_mm",
        value=cut_mm,
        unit="mm",
        formula="ceil((route_mm * (1 + slack_percent / 100) + allowance_from_mm"
        " + allowance_to_mm) / round_up_to_mm - 1e-9) * round_up_to_mm",
        inputs=inputs,
        source=COMMON_PRACTICE,
    )
    return Result(cut_mm, (reason,))
