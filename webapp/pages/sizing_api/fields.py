"""Kinds of field that the requests share. Numbers are JSON numbers alone, never null."""

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from webapp.sizing import conductors, reasons
from webapp.sizing.conductors import Conductor, conductor
from webapp.sizing.reasons import SizingError

Amps = Annotated[float, Field(ge=0, le=reasons.LARGEST_CURRENT_A)]
LoadAmps = Annotated[float, Field(gt=0, le=reasons.LARGEST_CURRENT_A)]
Metres = Annotated[float, Field(ge=0, le=reasons.LONGEST_M)]
LengthMm = Annotated[float, Field(gt=0, le=reasons.LONGEST_M * 1000)]
SmallMm = Annotated[float, Field(ge=0, le=1000)]
Celsius = Annotated[float, Field(ge=reasons.COLDEST_C, le=reasons.HOTTEST_C)]
Seconds = Annotated[float, Field(ge=0, le=1e7)]
Milliohms = Annotated[float, Field(ge=0, le=1e6)]
# Says in its own words why more than 60 V is refused.
Volts = Annotated[
    float,
    AfterValidator(lambda value: reasons.voltage(value, "")),
    Field(json_schema_extra={"exclusiveMinimum": 0, "maximum": reasons.EXTRA_LOW_VOLTAGE_LIMIT_V}),
]

ConductorKind = Literal["iec60228-class5", "iso6722", "awg-stranded-tinned", "awg-solid"]
Finish = Literal["plain", "tinned"]
Insulation = Literal["pvc", "pvc-thin", "xlpe", "xlpe-thin", "etfe", "ptfe", "silicone", "rubber"]


def _not_null(value: Any) -> Any:
    if value is None:
        raise ValueError("Give a value, or leave the field out.")
    return value


def _whole(value: Any) -> Any:
    """1.0 is a whole number in JSON."""
    return int(value) if type(value) is float and value.is_integer() else value


# Stands last in a type, so that its limits are described.
WHOLE = BeforeValidator(_whole)

# May be left out, but not be null: the checker of null stands before the type's own.
MaybeNumber = Annotated[
    float | None, BeforeValidator(_not_null), WithJsonSchema({"type": "number"})
]
MaybeSeconds = Annotated[
    Annotated[float, Field(ge=0, le=1e7)] | None,
    BeforeValidator(_not_null),
    WithJsonSchema({"type": "number", "minimum": 0, "maximum": 1e7}),
]
MaybeAbove0 = Annotated[
    Annotated[float, Field(gt=0, le=1e6)] | None,
    BeforeValidator(_not_null),
    WithJsonSchema({"type": "number", "exclusiveMinimum": 0, "maximum": 1e6}),
]
MaybeWhole = Annotated[
    Annotated[int, WHOLE] | None, BeforeValidator(_not_null), WithJsonSchema({"type": "integer"})
]


class Strict(BaseModel):
    """A request, or a part of one: nothing is converted, nothing unknown is taken."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)


class WireSize(Strict):
    """The size of a conductor, in one of two ways."""

    csa_mm2: MaybeAbove0 = Field(None, description="Section, for the metric kinds. [mm²]")
    awg: MaybeWhole = Field(None, description="Gauge; 1/0 to 4/0 are 0 to -3.")

    def check_one_size(self) -> None:
        """SizingError unless exactly one of the two is given."""
        if self.csa_mm2 is None and self.awg is None:
            raise SizingError("csa_mm2", "Give csa_mm2 or awg.")
        if self.csa_mm2 is not None and self.awg is not None:
            raise SizingError("awg", "Give csa_mm2 or awg, not both.")


class ConductorFields(WireSize):
    """A conductor, in every call that needs one."""

    conductor: ConductorKind
    finish: Finish = "plain"
    insulation: Annotated[
        Insulation | None,
        BeforeValidator(_not_null),
        WithJsonSchema({"enum": list(conductors.INSULATIONS)}),
    ] = Field(None, description="Usual for the kind if left out: pvc-thin, etfe or pvc.")
    outside_diameter_mm: Annotated[
        Annotated[float, Field(gt=0, le=200)] | None,
        BeforeValidator(_not_null),
        WithJsonSchema({"type": "number", "exclusiveMinimum": 0, "maximum": 200}),
    ] = Field(None, description="From the table of that kind and insulation if left out. [mm]")

    def wire(self) -> Conductor:
        """The conductor; SizingError for a size that the table does not hold."""
        self.check_one_size()
        if self.conductor == conductors.SOLID_AWG and self.finish == "tinned":
            raise SizingError("finish", "awg-solid is plain copper.")
        return conductor(
            self.conductor,
            csa_mm2=self.csa_mm2,
            awg=self.awg,
            finish=self.finish,
            insulation=self.insulation,
        )
