"""The workshop: letterhead, rates, labour times, instruments, label sheets that it owns."""

from datetime import date

from sqlalchemy import CheckConstraint, Text
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Day, Flag


class Workshop(Base):
    """One row: who we are and where the app is reached."""

    __tablename__ = "workshop"
    __table_args__ = (CheckConstraint("id = 1", name="single_row"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text)
    address: Mapped[str] = mapped_column(Text, default="")
    phone: Mapped[str] = mapped_column(Text, default="")
    email: Mapped[str] = mapped_column(Text, default="")
    vat_number: Mapped[str] = mapped_column(Text, default="")
    currency: Mapped[str] = mapped_column(Text, default="£")
    # Where QR codes point; printing warns while it is only loopback.
    address_url: Mapped[str] = mapped_column(Text, default="http://127.0.0.1:8000")
    step_depth: Mapped[str] = mapped_column(Text, default="full")
    demo: Mapped[bool] = mapped_column(Flag, default=False)
    # Proposals keep to the colours that the workshop has wire of.
    only_stocked_colours: Mapped[bool] = mapped_column(Flag, default=False)
    # How pages and papers write lengths, numbers and dates.
    length_unit: Mapped[str] = mapped_column(Text, default="mm")
    decimal_mark: Mapped[str] = mapped_column(Text, default=".")
    date_style: Mapped[str] = mapped_column(Text, default="13 Dec 2026")
    # A longer time between two ticks of a person is a pause, and no work.
    pause_gap_s: Mapped[int] = mapped_column(default=600)


class Rates(Base):
    """One row: what a job is priced with. Percentages are plain numbers (20 means 20 %)."""

    __tablename__ = "rates"
    __table_args__ = (CheckConstraint("id = 1", name="single_row"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    labour_minor_per_hour: Mapped[int] = mapped_column(default=4200)
    set_up_s: Mapped[int] = mapped_column(default=7200)
    design_s: Mapped[int] = mapped_column(default=14400)
    scrap_percent: Mapped[float] = mapped_column(default=8.0)
    overhead_percent: Mapped[float] = mapped_column(default=15.0)
    margin_percent: Mapped[float] = mapped_column(default=20.0)
    discount_percent: Mapped[float] = mapped_column(default=0.0)
    vat_percent: Mapped[float] = mapped_column(default=20.0)
    deposit_percent: Mapped[float] = mapped_column(default=30.0)
    validity_days: Mapped[int] = mapped_column(default=30)


class OperationTime(Base):
    """How long one operation takes, e.g. one crimp. The code is what work steps name."""

    __tablename__ = "operation_time"
    __table_args__ = (CheckConstraint("seconds >= 0", name="seconds_not_negative"),)
    code: Mapped[str] = mapped_column(Text, primary_key=True)
    title: Mapped[str] = mapped_column(Text)
    seconds: Mapped[int]
    position: Mapped[int] = mapped_column(default=0)


class FunctionColour(Base):
    """The workshop's own colour code: what wire a function takes."""

    __tablename__ = "function_colour"
    function: Mapped[str] = mapped_column(Text, primary_key=True)
    main: Mapped[str] = mapped_column(Text)
    tracer: Mapped[str] = mapped_column(Text, default="")


class StockedColour(Base):
    """A main colour and tracer that the workshop has wire of; an empty tracer is plain."""

    __tablename__ = "stocked_colour"
    main: Mapped[str] = mapped_column(Text, primary_key=True)
    tracer: Mapped[str] = mapped_column(Text, primary_key=True, default="")


class Instrument(Base):
    __tablename__ = "instrument"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    serial: Mapped[str] = mapped_column(Text, default="")
    calibrated_on: Mapped[date | None] = mapped_column(Day)
    calibration_due_on: Mapped[date | None] = mapped_column(Day)
    active: Mapped[bool] = mapped_column(Flag, default=True)


class LabelSheet(Base):
    """A sheet (columns and rows on a page) or, with one column and one row, a roll of tape."""

    __tablename__ = "label_sheet"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    kind: Mapped[str] = mapped_column(Text, default="sheet")
    page_width_mm: Mapped[float]
    page_height_mm: Mapped[float]
    width_mm: Mapped[float]
    height_mm: Mapped[float]
    columns: Mapped[int]
    rows: Mapped[int]
    margin_left_mm: Mapped[float]
    margin_top_mm: Mapped[float]
    pitch_x_mm: Mapped[float]
    pitch_y_mm: Mapped[float]
    offset_x_mm: Mapped[float] = mapped_column(default=0.0)
    offset_y_mm: Mapped[float] = mapped_column(default=0.0)
