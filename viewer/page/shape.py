"""The shape of what a page is made of.

``src/types.js`` holds the same for the browser (``Body`` there, ``BodyData`` here), and a test compares.
Lengths mm, angles degrees, points and poses in the engine frame E unless a frame is named beside them. Words and
numbers that a person reads come ready written.
"""

from __future__ import annotations

from typing import Literal, TypedDict

Severity = Literal["stop", "look", "note"]


class LawData(TypedDict):
    """The closed form of one frame's motion: geometry/kinematics/laws.py, same names."""

    kind: Literal["fixed", "spin", "piston", "rod", "valve"]
    x_mm: float
    y_mm: float
    z_mm: float
    turn_deg: float
    rate: float
    sense: float
    bank_deg: float
    pin_deg: float
    throw_mm: float
    rod_mm: float
    offset_mm: float
    full_deg: float
    lift_scale_mm: float
    lift_shut: float
    lift_ramp_mm: float
    lift_rate: float


class FrameData(TypedDict):
    """A frame and how it moves."""

    name: str
    law: LawData


class PackedData(TypedDict):
    """One triangle mesh in the packed bytes; `fine` for standing still, `coarse` for motion."""

    at: int
    """First byte."""
    vertices: int
    triangles: int
    edges: int
    """Sharp edges, marked at the triangles beside them."""
    low_mm: list[float]
    """Lower corner of its box, (3)."""
    step_mm: list[float]
    """Length of one step of a coordinate, (3)."""


class SolidData(TypedDict):
    """A distinct part: once in full, once for motion."""

    fine: PackedData
    coarse: PackedData


class LookData(TypedDict):
    """How a material looks."""

    colour: list[float]
    """SRGB, 0 to 1, (3)."""
    metallic: float
    roughness: float
    turned: str
    """The look of what is bored, turned or ground of it."""
    cut: str
    """The look of a face cut through it."""


class BodyData(TypedDict):
    """A part standing somewhere in the engine."""

    name: str
    words: str
    """As a builder calls it."""
    group: str
    """Family of parts."""
    look: str
    bore: int | None
    frame: str
    pose: list[float]
    """X_FA, the first three rows, (12)."""
    solid: int
    """Index into Page.solids."""
    apart: float
    """How far it moves along its frame's z when its bore is spread apart, mm."""


class FamilyData(TypedDict):
    """A family of parts, shown and hidden together."""

    name: str
    words: str
    encloses: bool
    """Block, head, gasket, pan: glass, cut or away."""
    hidden: bool
    """From the start."""


class BoreData(TypedDict):
    """What the page must know of one bore."""

    bore: int
    """The builder's number."""
    bank: str
    bank_deg: float
    """About +x."""
    x_mm: float
    top_deg: float
    """Crank angle of its own top dead centre."""
    bottom_deg: float
    deck_mm: float
    """Height of the deck along the bore."""
    crown_mm: float
    """Crown above the piston pin."""
    radius_mm: float
    thrust: list[float]
    """Unit vector to the major thrust side, (3)."""


class PlaceData(TypedDict):
    """One place worth going to, from geometry.checks.troubles: what comes too close or stands wrong."""

    id: str
    kind: str
    group: str
    """Like places of other bores share it."""
    severity: Severity
    words: str
    value: str
    limit: str
    source: str
    verdict: str
    bore: int | None
    crank_deg: float | None
    bodies: list[str]
    a_mm: list[float] | None
    b_mm: list[float] | None
    look: Literal["near", "rings", "chamfer"]
    curve_mm: list[float] | None
    """Distance over the turn, evenly from 0 to period_deg."""
    period_deg: float
    limit_mm: float | None


class RingMarkData(TypedDict):
    """One ring's place on a clock."""

    ring: str
    words: str
    clock_deg: float
    """Clockwise seen from above, 0 at the front."""
    degrees: str
    hour: str
    planned_deg: float | None
    """Where the scheme puts it, if it was found elsewhere."""
    gap: str
    limit: str
    source: str
    verdict: str
    severity: Severity
    way_up: str


class ArcData(TypedDict):
    """Something that stands still on the piston, seen from above."""

    words: str
    centre_deg: float
    half_deg: float


class ClosestGapsData(TypedDict):
    """The smallest distance between two ring gaps."""

    first_deg: float
    sweep_deg: float
    words: str


class ClockData(TypedDict):
    """Where the gaps of the rings of some bores stand."""

    bores: list[int]
    """That share it."""
    thrust_deg: float
    thrust_words: str
    """The major thrust side, in the builder's words."""
    turned: bool
    """The piston went in turned round."""
    bosses: list[ArcData]
    """Of the piston pin."""
    pockets: list[ArcData]
    """For the valves."""
    closest: ClosestGapsData | None
    severity: Severity
    said: list[str]
    """The verdict on the clock, then what goes with it."""
    rings: list[RingMarkData]
    scheme: str


class RowData(TypedDict):
    """A line of a table."""

    cells: list[str]
    severity: Literal["stop", "look", "note", ""]
    bores: list[int]
    """That it is about; none where it is about all, or the whole engine."""


class FindingData(TypedDict):
    """Something the builder must know."""

    severity: Severity
    bore: int | None
    text: str
    remedy: str


class SectionData(TypedDict):
    """A table of answers, as `check` prints it."""

    key: str
    title: str
    single: bool
    """One row, read downwards."""
    headings: list[str]
    rows: list[RowData]
    more: list[RowData]
    """Every row, where `rows` holds only the worst of each kind; else none."""
    findings: list[FindingData]
    notes: list[str]
    """Assumptions and sources."""


class DrawingData(TypedDict):
    """A plane drawing made beforehand."""

    key: str
    bore: int | None
    words: str
    """What it shows, for who cannot see it."""
    severity: Severity
    legend: list[str]
    """What the numbers in it name, from 1."""
    said: list[str]
    """Its numbers with limit, source and verdict."""
    svg: str


class VerdictData(TypedDict):
    """How all of an engine stands."""

    severity: Severity
    words: str
    said: str
    """What else there is to say, empty where nothing is."""


class VariantData(TypedDict):
    """One engine on show: as designed, as built, put together right or wrong."""

    key: str
    words: str
    verdict: VerdictData
    cycle_deg: float
    speed_rpm: float
    """At which speed and acceleration are told."""
    frames: list[FrameData]
    bodies: list[BodyData]
    bores: list[BoreData]
    places: list[PlaceData]
    clocks: list[ClockData]
    sections: list[SectionData]
    drawings: list[DrawingData]


class PictureData(TypedDict):
    """A picture made beforehand, for paper and for who has no WebGL."""

    source: str
    """Data: address."""
    words: str
    width: int
    height: int


class FigureData(TypedDict):
    """One number of a mistake, right and wrong side by side."""

    words: str
    right: str
    wrong: str
    limit: str
    source: str
    verdict: str
    severity: Literal["stop", "look", "note", ""]


class MistakeData(TypedDict):
    """A mistake that the page explains: what is written beside right and wrong."""

    key: str
    title: str
    place: str
    bore: int | None
    different: str
    """What is physically different; in this and the other texts of a customer's page terms stand in [[ ]]."""
    recorded: str
    """Whether the build record shows it, in words; empty where there is no record."""
    bodies: list[str]
    at_mm: list[float] | None
    crank_deg: float | None
    swing_deg: list[float]
    """Where the picture moves to and fro by itself, (2)."""
    label: str
    """What stands over the wrong half, behind `Wrong`."""
    numbers: list[FigureData]
    text: str
    felt: str
    look_for: str
    cure: str
    halves: list[PictureData]
    """Right and wrong as plane drawings; none where they could not be drawn."""


class ChapterData(TypedDict):
    """What the customer reads, in order."""

    title: str
    paragraphs: list[str]
    """Terms of the trade stand in [[ ]]."""


class PageData(TypedDict):
    """All of a page."""

    version: str
    title: str
    units: Literal["in", "mm"]
    voice: Literal["builder", "customer"]
    shop: str
    job: str
    date: str
    assumed: str
    cautions: list[str]
    sense: float
    """+1: the crank turns positively about +x."""
    solids: list[SolidData]
    looks: dict[str, LookData]
    families: list[FamilyData]
    variants: list[VariantData]
    shown: list[str]
    """Keys of the one or two variants that are on show at first."""
    mistake: MistakeData | None
    chapters: list[ChapterData]
    glossary: dict[str, str]
    pictures: list[PictureData]
    live: bool
    """Served by this machine."""
