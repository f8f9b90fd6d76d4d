"""Least force that a crimped joint must hold."""

from webapp.sizing.conductors import awg_label, awg_to_mm2
from webapp.sizing.reasons import Reason, Result, SizingError, Source, choice, number
from webapp.sizing.tables import terminations as table

UL486A = "UL 486A"
AS7928 = "AS7928"
IEC60352_2 = "IEC 60352-2"
PULL_STANDARDS = (IEC60352_2, UL486A, AS7928)


def pull_force_n(standard: str, *, csa_mm2: float | None = None, awg: int | None = None) -> Result:
    """Least pull-out force of a crimp. The terminal maker's force, where known, outranks it.

    Args:
        standard: One of `PULL_STANDARDS`.
        csa_mm2: Section; IEC 60352-2 only. [mm²]
        awg: Gauge; 1/0 to 4/0 are 0 to -3. [-]

    Returns:
        Force. [N]

    Raises:
        SizingError: unknown standard; both sizes or none; a size that the table does not hold.

    Source: UL 486A and MIL-T-7928 (SAE AS7928) tables; IEC 60352-2:2006 Table 1 (from memory).
    """
    choice(standard, "standard", PULL_STANDARDS)
    if (csa_mm2 is None) == (awg is None):
        raise SizingError("csa_mm2", "Give either the section in mm² or the AWG number.")
    if awg is not None:
        awg_to_mm2(awg)
    if standard == IEC60352_2:
        return _iec(csa_mm2, awg)
    if awg is None:
        raise SizingError("csa_mm2", f"{standard} goes by AWG: give the gauge.")
    forces = table.UL486A_LBF if standard == UL486A else table.AS7928_LBF
    if awg not in forces:
        raise SizingError("awg", f"The {standard} table does not hold AWG {awg_label(awg)}.")
    return _from_pounds(awg, forces[awg], _source(standard, awg))


def _source(standard: str, awg: int) -> Source:
    if standard == UL486A:
        remembered = awg in table.UL486A_REMEMBERED_GAUGES
        return table.UL486A_REMEMBERED if remembered else table.UL486A
    remembered = awg in table.AS7928_REMEMBERED_GAUGES
    return table.AS7928_REMEMBERED if remembered else table.AS7928


def _from_pounds(awg: int, force_lbf: float, source: Source) -> Result:
    force_n = force_lbf * table.LBF_N
    reason = Reason(
        text=f"A crimp on AWG {awg_label(awg)} holds at least {force_lbf:g} lbf.",
        name="force_n",
        value=force_n,
        unit="N",
        formula="force_lbf * 4.4482216",
        inputs={"force_lbf": force_lbf},
        source=source.text,
        confirmed=source.confirmed,
    )
    return Result(force_n, (reason,))


def _iec(csa_mm2: float | None, awg: int | None) -> Result:
    if awg is not None:
        if awg not in table.IEC60352_2_AWG:
            message = f"The {IEC60352_2} table is not read by AWG {awg_label(awg)}."
            raise SizingError("awg", message)
        csa_mm2 = table.IEC60352_2_AWG[awg]
    csa = number(csa_mm2, "csa_mm2", above_low=True, unit="mm²")
    if csa not in table.IEC60352_2_N:
        listed = ", ".join(f"{size:g}" for size in table.IEC60352_2_N)
        raise SizingError("csa_mm2", f"The {IEC60352_2} table holds {listed} mm².")
    force_n = table.IEC60352_2_N[csa]
    reason = Reason(
        text=f"A crimp on {csa:g} mm² holds at least {force_n:g} N.",
        name="force_n",
        value=force_n,
        unit="N",
        source=table.IEC60352_2.text,
        inputs={"csa_mm2": csa},
        confirmed=table.IEC60352_2.confirmed,
    )
    return Result(force_n, (reason,))
