"""Current and temperature when the current is on for a time and off for a time, for ever."""

import math

from webapp.sizing.conductors import COPPER_OFFSET_C
from webapp.sizing.heat.place import Duty
from webapp.sizing.heat.steady import COPPER_MELTS_C, TooHot, at_current, current_at
from webapp.sizing.heat.warming import Warming

LEAST_SWING_K = 1e-7


def duty_current_a(warming: Warming, duty: Duty, peak_c: float) -> float:
    """Current that brings the copper to `peak_c` at the end of each time on, in A."""
    # Imported here: it is slow to load, and few answers need it.
    from scipy.optimize import brentq

    low_c = warming.after_c(0.0, peak_c, duty.off_s)
    if peak_c - low_c < LEAST_SWING_K:
        # Too fast for the copper to follow: the root mean square decides.
        root_mean_square = math.sqrt((duty.on_s + duty.off_s) / duty.on_s)
        return current_at(warming.path, warming.r20_ohm_per_m, peak_c) * root_mean_square
    base_per_k = warming.r20_ohm_per_m / (COPPER_OFFSET_C + 20)
    lasting_per_k = warming.leaving_w_per_m(peak_c) / (COPPER_OFFSET_C + peak_c)
    # With this much more, the wire would be as quick even if all heat left as it does at the peak.
    spread = math.log((COPPER_OFFSET_C + peak_c) / (COPPER_OFFSET_C + low_c))
    most_per_k = lasting_per_k + warming.stored_j_per_mk * spread / duty.on_s

    def too_quick_by(per_k: float) -> float:
        amps = math.sqrt(per_k / base_per_k)
        return 1 / warming.time_s(amps, low_c, peak_c) - 1 / duty.on_s

    if too_quick_by(lasting_per_k) >= 0:
        # On for so long that it is as good as for ever.
        return math.sqrt(lasting_per_k / base_per_k)
    if too_quick_by(most_per_k) <= 0:
        return math.sqrt(most_per_k / base_per_k)
    found = brentq(too_quick_by, lasting_per_k, most_per_k, rtol=1e-10)
    return math.sqrt(float(found) / base_per_k)


def duty_peak_c(warming: Warming, duty: Duty, current_a: float) -> float:
    """Copper temperature at the end of each time on, once it repeats.

    Raises:
        TooHot: the copper would melt first.
    """
    from scipy.optimize import brentq

    ambient_c = warming.path.ambient_c
    try:
        hottest_c = at_current(warming.path, warming.r20_ohm_per_m, current_a).copper_c
    except TooHot:
        hottest_c = COPPER_MELTS_C

    def warmer_by(peak_c: float) -> float:
        low_c = warming.after_c(0.0, peak_c, duty.off_s)
        try:
            return warming.after_c(current_a, low_c, duty.on_s) - peak_c
        except TooHot:
            return COPPER_MELTS_C - ambient_c

    if warmer_by(hottest_c) > 0:
        if hottest_c >= COPPER_MELTS_C:
            raise TooHot
        return hottest_c
    if warmer_by(ambient_c) <= 0:
        return ambient_c
    return float(brentq(warmer_by, ambient_c, hottest_c, xtol=1e-7))
