"""A design: everything its file can say."""

from dataclasses import field
from typing import Annotated, Any

from balance.doubt.ranges import Range
from balance.machine.materials import Material
from balance.quantities import (
    Angle,
    Beside,
    Force,
    Length,
    Most,
    NotNegative,
    Number,
    Positive,
    Power,
    Time,
    Velocity,
    definition,
)
from designs.design.readings import Measured
from designs.design.stock import Stock
from shafts.engine import Engine


@definition
class Limits:
    """What a good design keeps to; each default says why."""

    power: Annotated[
        Power, NotNegative, "least power of the gas at rated speed; below nothing the machine would pump heat, not run"
    ] = 0.0
    piston_leak: Annotated[
        Number,
        Positive,
        "largest share of what the piston sweeps that leaks past it in a turn at rated speed; an engine that loses "
        "half does not run; common practice, no source",
    ] = 0.5
    gap: Annotated[
        Length, NotNegative, "least gap between moving parts; a tenth of a millimetre is what a feeler still finds"
    ] = 1e-4
    shaking_force: Annotated[
        Force | None,
        Positive,
        "largest shaking force; a quarter of the engine's weight if left out, so that it neither hops nor walks",
    ] = None
    vibration: Annotated[
        Velocity,
        Positive,
        "largest rms vibration velocity of the case; end of zone B of ISO 10816-1 for small machines",
    ] = 1.8e-3
    uplift: Annotated[
        Number, Positive, "largest share of its load that vibration lifts off a foot; at one an unbolted foot rattles"
    ] = 1.0
    standing: Annotated[
        Number,
        Positive,
        "least share of its weight at which the case would fall over on its feet; rubber is a fifth softer than said "
        "at times, and a knock must not tip it; common practice, no source",
    ] = 1.5
    balance_grade: Annotated[
        Velocity | None, Positive, "coarsest balance quality at the fastest speed, ISO 21940-11 (G 16 is 16 mm/s)"
    ] = None
    speed_fluctuation: Annotated[
        Number | None, Positive, "largest (fastest - slowest)/mean speed over a turn; not asked for if left out"
    ] = None
    retention: Annotated[
        Number,
        Positive,
        "least safety of the counterweights' screws at overspeed; a lost weight is a projectile, and screws tire",
    ] = 4.0
    slope_at_bearings: Annotated[
        Angle, Positive, "largest slope of the shaft in a ball bearing; usual catalogue value of 4 arc-minutes"
    ] = 0.0012
    slope_at_gears: Annotated[
        Angle, Positive, "largest slope at the gears; uncrowned spur gears, Shigley 9e table 7-2"
    ] = 0.0005
    deflection_at_gears: Annotated[
        Length, Positive, "largest deflection at the gears; fine teeth, Shigley 9e table 7-2 (0.003 in)"
    ] = 76e-6
    bearing_life: Annotated[Time, Positive, "least L10 life of each bearing; a season of daily running"] = 2000 * 3600.0
    tooth_bending_safety: Annotated[
        Number, Positive, "least safety of gear teeth against breaking; common practice"
    ] = 1.5
    tooth_pitting_safety: Annotated[
        Number, Positive, "least safety of gear teeth against pitting, in load; common practice, as pits warn first"
    ] = 1.2
    static_safety: Annotated[Number, Positive, "least static safety of each bearing; ISO 76 for normal running"] = 1.0
    yield_safety: Annotated[Number, Positive, "least safety against yielding of the shafts; common practice"] = 1.5
    fatigue_safety: Annotated[Number, Positive, "least safety against fatigue of the shafts; common practice"] = 1.5
    crankpin_strength: Annotated[
        Number, Positive, "least safety of crankpins against yielding and fatigue; common practice, no source"
    ] = 1.5
    web_strength: Annotated[
        Number, Positive, "least safety of crank webs against yielding and fatigue; common practice, no source"
    ] = 1.5
    web_metal: Annotated[
        Number,
        Positive,
        "least metal beside a hole of a web, over the hole's diameter; a thinner wall spreads as a pin is pressed in; "
        "common practice, no source",
    ] = 0.2
    joint_grip: Annotated[
        Number, Positive, "least grip of pins and shafts in webs over what turns or tips them; a slip turns the throw, "
        "and grip scatters by two; common practice, no source"
    ] = 2.0  # fmt: skip
    hub_grip: Annotated[
        Number, Positive, "least grip of gears, wheels and counterweights on their shafts over what turns or lifts "
        "them; a slip sets the cranks apart; common practice, no source"
    ] = 2.0  # fmt: skip
    yoke_pin_strength: Annotated[
        Number, Positive, "least safety of yoke pins against yielding and fatigue; common practice, no source"
    ] = 1.5
    rod_strength: Annotated[
        Number, Positive, "least safety of rods against yielding and fatigue; common practice, no source"
    ] = 1.5
    rod_buckling: Annotated[
        Number, Positive, "least buckling load of rods over their largest push; bowed rods buckle early; common "
        "practice, no source"
    ] = 3.0  # fmt: skip
    arm_strength: Annotated[
        Number, Positive, "least safety of yoke arms against yielding and fatigue; common practice, no source"
    ] = 1.5
    stem_strength: Annotated[
        Number, Positive, "least safety of stems against yielding and fatigue; common practice, no source"
    ] = 1.5
    stem_buckling: Annotated[Number, Positive, "least buckling load of stems over their largest push; as for rods"] = (
        3.0
    )
    critical_speed_margin: Annotated[
        Number,
        Positive,
        "least distance, as a factor, of the speed range from a critical speed that matters (the table of critical "
        "speeds says which); 1.3 is common practice, no source",
    ] = 1.3
    torsional_margin: Annotated[
        Number, Positive, "least first torsional frequency over the torque's highest strong order; common practice"
    ] = 1.2


@definition
class Design(Engine):
    """An engine with its limits and the redesigns that are thought of."""

    title: Annotated[str, "what this design is called"] = "untitled design"
    materials: Annotated[dict[str, Material], Most(100), "own materials by name, beside the known ones"] = field(
        default_factory=dict
    )
    limits: Annotated[Limits, "what a good design keeps to"] = Limits()
    options: Annotated[dict[str, Any], Most(200), "redesigns by name: each maps key paths to new entries"] = field(
        default_factory=dict
    )
    measured: Annotated[Measured | None, "what was found on the machine itself"] = None
    found: Annotated[
        tuple[Any, ...],
        Beside(),
        "what readings say of entries, beside what is drawn (designs.reading.measured.findings)",
    ] = ()
    doubts: Annotated[
        dict[tuple[str, ...], Range], Beside(), "what is not known of the numbers, by the path of keys to each"
    ] = field(default_factory=dict)
    stock: Annotated[Stock | None, "what can be bought or is at hand, where it differs from the usual"] = None
    may_change: Annotated[
        tuple[str, ...], "key paths that advice and `mend` may change, as yokes.*.rod.length; all free choices if none"
    ] = ()
