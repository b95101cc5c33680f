"""What is said on the cards for the bench: tool, steps, what to write down, cautions. All texts stand here.

`{yoke}`, `{throw}`, `{bearing}` and the like are filled in from the design, and words in braces stand only where the
machine has what they speak of (`cards.words_of`). A card settles the entries whose paths
match one of its patterns. What a careful maker reaches with it is common practice, no source.
"""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class CardText:
    """One card.

    settles : patterns of the paths that it tells of.   per : for what there is one card each.
    repeats : standard deviation that is reached, SI, or a share of the value where `share` is True.
    """

    key: str
    title: str
    tool: str
    how: tuple[str, ...]
    write: tuple[str, ...]
    caution: str
    blank: str
    settles: tuple[str, ...] = ()
    per: Literal["machine", "yoke", "throw", "bearing", "pair"] = "machine"
    repeats: float = 0.0
    share: bool = False
    drawing: str = ""


STILL = "The machine stands still, cold{burner_off}{belt_off}."
FINGERS = "Keep fingers from between the yokes{and_gears} while you turn the cranks by hand."
RUNNING = (
    "Guard both cranks with wire or a shield, wear eye protection, tie back hair and sleeves, take every tool and dial "
    "away first. Nobody stands in the plane in which the cranks turn.{hot_ends}"
)
PRESSED = "Only on a cold machine that is not under pressure. A syringe and its hose are not made for heat or pressure."

FILLING = (
    "All that you filled in goes under one `measured:` in the design file: what two blanks begin with, as `entries:` "
    "or `rods:`, stands there once. A number with +- says the half-width that holds 19 times of 20."
)

CARDS: tuple[CardText, ...] = (
    CardText(
        "throw",
        "Throw {throw}: radius and phase",
        "calliper or height gauge, flat plate, feelers",
        (
            "Measure over shaft and crankpin from outside; take off half of both diameters: that is the radius.",
            "Lay the crank in two blocks on a flat plate, so that the crankpin whose phase is known is at its height.",
            "Put feelers under this crankpin until it rests; their height over its radius, times 57.3, is the angle in "
            "degrees.",
            "Do it on both cranks, three times each, and take the mean of each. A difference tilts the yoke.",
        ),
        ("the radius on each crank", "the angle by which this throw leads, on each crank"),
        STILL,
        "entries:\n  cranks.throws.{throw}.radius: ___ mm +- 0.02 mm\n"
        "  cranks.throws.{throw}.left_radius: ___ mm +- 0.02 mm\n"
        "  cranks.throws.{throw}.phase: ___ deg +- 0.1 deg\n"
        "  cranks.throws.{throw}.left_phase: ___ deg +- 0.1 deg",
        ("cranks.throws.{throw}.*",),
        per="throw",
        repeats=1e-5,
        drawing="""\
    (O)--------- crankpin
     |      |
     |      | radius
    (=)--------- shaft
 ______________ plate""",
    ),
    CardText(
        "rod_length",
        "Rods of the {yoke}: length",
        "two close pins, calliper",
        (
            "Put a close pin in each bore. Measure over both pins from outside.",
            "Take off half of both pins' diameters.",
            "Measure both rods and mark them right and left: a difference between them tilts the yoke.",
        ),
        ("centre to centre, of each rod",),
        "Pins with sharp ends: file them round first.",
        "rods:\n  {yoke}:\n    right: {{between_centres: ___ mm +- 0.03 mm}}\n"
        "    left: {{between_centres: ___ mm +- 0.03 mm}}",
        ("yokes.{yoke}.rod.length", "yokes.{yoke}.rod.left_length"),
        per="yoke",
        repeats=1.5e-5,
        drawing="  |<---- over both pins ---->|\n  (O)======================(O)",
    ),
    CardText(
        "rod_scale",
        "Rods of the {yoke}: mass and mass centre",
        "scale of 0.01 g to 0.1 g, a knife edge as high as the scale's pan",
        (
            "Weigh each rod. On a coarse scale weigh both rods together and halve it, and leave right and left away.",
            "Lay the yoke pin's end on the scale and the crankpin's end on the edge, the rod level.",
            "Turn the rod round and weigh the other end.",
            "Both ends must add up to the mass; if not, it was not level or something touched.",
        ),
        ("mass", "small end: what the scale reads under the yoke pin", "big end: what it reads under the crankpin"),
        "Switch draughts off: a fan moves a light scale.",
        "rods:\n  {yoke}:\n    right: {{mass: ___ g +- 0.05 g, small_end_on_scale: ___ g +- 0.05 g,\n"
        "      big_end_on_scale: ___ g +- 0.05 g}}\n"
        "    left: {{mass: ___ g +- 0.05 g, small_end_on_scale: ___ g +- 0.05 g,\n"
        "      big_end_on_scale: ___ g +- 0.05 g}}",
        ("yokes.{yoke}.rod.mass", "yokes.{yoke}.rod.cg", "yokes.{yoke}.rod.left.mass", "yokes.{yoke}.rod.left.cg"),
        per="yoke",
        repeats=0.005,
        share=True,
        drawing="""\
   crankpin       yoke pin
     (O)=============(o)
      A              [_]
     edge           scale""",
    ),
    CardText(
        "rod_swing",
        "Rods of the {yoke}: moment of inertia",
        "knife edge, stopwatch or a phone that films",
        (
            "Hang the rod by a bore on the edge, so that it swings freely in its own plane.",
            "Let it swing by no more than 10 degrees to each side. Count 50 full swings, there and back.",
            "Time three runs. A film of 60 pictures a second does ten times better than a stopwatch.",
            "Measure from the line of contact to the mass centre, which the card before finds.",
            "Best hung where it swings fastest: there the distance hardly matters.",
            "Or hang it level on two upright strings of half a metre, turn it a little, and let go; 20 swings do.",
        ),
        (
            "line of contact to mass centre; or length of the strings, and each string to the mass centre",
            "number of swings",
            "the three times",
        ),
        "Clamp the edge: a falling edge is a knife.",
        "rods:\n  {yoke}:\n    swings: {{hung_at: ___ mm +- 0.3 mm, number: 50,\n"
        "      times: [___ s, ___ s, ___ s]}}\n"
        "    # or two_strings: {{strings: ___ mm +- 1 mm, apart: [___ mm, ___ mm],\n"
        "    #   number: 20, times: [___ s, ___ s, ___ s]}}",
        ("yokes.{yoke}.rod.inertia", "yokes.{yoke}.rod.left.inertia"),
        per="yoke",
        repeats=0.03,
        share=True,
        drawing="      A edge\n     (O)\n      |\\   there\n      | \\  and back\n     (o) .",
    ),
    CardText(
        "yoke_mass",
        "Yoke {yoke}: mass with all it carries",
        "scale",
        (
            "Weigh the yoke with all that moves with it, screws included{without_rods}.",
            "Check the scale with a known mass: a millilitre of water is a gram.",
        ),
        ("mass",),
        "",
        "yokes:\n  {yoke}: {{mass: ___ g +- 0.2 g}}",
        ("yokes.{yoke}.parts.*",),
        per="yoke",
        repeats=0.002,
        share=True,
    ),
    CardText(
        "crank_scale",
        "Both bare cranks: what they are out of balance by",
        "scale, two knife edges or free bearings, a light arm of 100 mm",
        (
            "Take {what_hangs} off. Lay the crank's axle on edges, or leave it in free bearings.",
            "Clamp the arm on level, its end on the scale. A crankpin of phase 0 deg would point along it.",
            "Read the scale. Turn the crank in the clamp until one of phase 90 deg would; then 180 and 270 deg.",
        ),
        ("what the scale is good for", "length of the arm", "the four readings"),
        "The crank can roll off its edges: put stops beside them.",
        "scale: {{error: ___ g}}\ncranks:\n"
        "  right: {{on_scale: {{arm: ___ mm +- 0.5 mm,\n"
        "    at: [0 deg, 90 deg, 180 deg, 270 deg],\n    readings: [___ g, ___ g, ___ g, ___ g]}}}}\n"
        "  left: {{on_scale: {{arm: ___ mm +- 0.5 mm,\n"
        "    at: [0 deg, 90 deg, 180 deg, 270 deg],\n    readings: [___ g, ___ g, ___ g, ___ g]}}}}",
        ("cranks.webs.*",),
        repeats=1e-6,
        drawing="  crank (*)=====arm=====v\n        A A            [_]\n       edges          scale",
    ),
    CardText(
        "flywheel",
        "Flywheel: moment of inertia",
        "a light plate on three strings of 0.5 to 1 m, scale, stopwatch",
        (
            "Hang the plate level on three strings, tied evenly on one circle. Weigh plate and wheel.",
            "Turn the empty plate a little about the upright, let go, and time 20 full swings. Three runs.",
            "Lay the wheel on it, its middle over the plate's middle, and do the same.",
        ),
        ("length of the strings", "radius where they are tied", "both masses", "both sets of times"),
        "A wheel that slides off falls on feet: keep it a hand's width above something soft.",
        "flywheel:\n  three_strings: {{strings: ___ mm +- 2 mm, radius: ___ mm +- 0.5 mm,\n"
        "    mass: ___ g +- 1 g, plate: ___ g +- 1 g, number: 20,\n"
        "    times: [___ s, ___ s, ___ s], times_empty: [___ s, ___ s, ___ s]}}",
        ("flywheel.inertia", "flywheel.mass"),
        repeats=0.02,
        share=True,
    ),
    CardText(
        "backlash",
        "Gears: backlash",
        "dial gauge on a stand, a clamp for one crank",
        (
            "Lock one crank. Put the dial's tip on the other crank, square to a line from its axle.",
            "Rock that crank from flank to flank and read the whole travel.",
            "Do it at four angles round the turn: if the readings go up and down, the gears are eccentric.",
        ),
        ("axle to the dial's tip", "travel at each angle"),
        FINGERS,
        "backlash: {{radius: ___ mm +- 0.5 mm,\n  readings: [___ mm, ___ mm, ___ mm, ___ mm]}}",
        ("cranks.gears.backlash",),
        repeats=1e-5,
        drawing="   [locked]   ( o )---radius---| dial\n      gear  x  gear             v",
    ),
    CardText(
        "push_bearing",
        "Bearing {bearing}: support stiffness",
        "dial gauge of 1 to 2 um a line, masses of 0.5 to 2 kg and a hook, or a spring scale",
        (
            "Put the dial on the shaft close to the bearing, its stand on the bench, not on the case.",
            "Read it without a load. Hang 0.5, 1, 1.5 and 2 kg there one after another and read each.",
            "Take them off again; the dial must come back. If not, something slipped: tighten it and begin again.",
            "The jump from nothing to the first mass is play, and the slope after it the stiffness.",
        ),
        ("each force (1 kg is 9.81 N)", "each reading"),
        "Stand aside of what hangs; a shoe under it, not a foot.",
        "pushed:\n  - {{at: bearing {bearing}, on: right, along: y, dial: 2 um,\n"
        "    forces: [0 N, 4.9 N, 9.8 N, 14.7 N, 19.6 N],\n    readings: [0 um, ___ um, ___ um, ___ um, ___ um]}}",
        (
            "shafts.bearings.*.seat_stiffness",
            "shafts.bearings.*.stiffness",
            "shafts.left.bearings.*.seat_stiffness",
            "shafts.left.bearings.*.stiffness",
        ),
        per="bearing",
        repeats=0.08,
        share=True,
        drawing="          | dial\n          v\n   ====[#]====   shaft in its bearing\n          |\n         [ ] mass",
    ),
    CardText(
        "push_throw",
        "Throw {throw}: stiffness of crank, shaft and supports together",
        "dial gauge of 1 to 2 um a line, masses of 0.5 to 2 kg and a hook",
        (
            "Put the dial on the crankpin, its stand on the bench, not on the case.",
            "Read it without a load, then with 0.5, 1, 1.5 and 2 kg hung on the pin.",
            "A second dial at the bearing tells what of it is the support.",
        ),
        ("each force (1 kg is 9.81 N)", "each reading"),
        "Stand aside of what hangs; a shoe under it, not a foot.",
        "pushed:\n  - {{at: {throw}, on: right, along: y, crank_at: 0 deg, dial: 2 um,\n"
        "    forces: [0 N, 4.9 N, 9.8 N, 14.7 N, 19.6 N],\n    readings: [0 um, ___ um, ___ um, ___ um, ___ um]}}",
        (),
        per="throw",
        repeats=0.05,
        share=True,
    ),
    CardText(
        "bearing_play",
        "Bearings: internal clearance as fitted",
        "dial gauge of 1 to 2 um a line, spring scale",
        (
            "Put the dial on the shaft close to the bearing.",
            "Push with 5 and 10 N, pull with 5 and 10 N, and read each.",
            "The jump at no force is the play: never take the whole travel, the balls yield as well.",
        ),
        ("the jump, for each bearing",),
        STILL,
        "entries:{clearances}",
        (
            "shafts.bearings.*.clearance",
            "shafts.bearings.*.left_clearance",
            "shafts.bearings.*.bush.play",
            "shafts.left.bearings.*.clearance",
            "shafts.left.bearings.*.bush.play",
        ),
        repeats=1e-6,
    ),
    CardText(
        "plays",
        "Rods of the {yoke}: play on their pins",
        "dial gauge",
        ("Rock each rod on its pin with the dial 20 mm out; take off what the distance enlarges.",),
        ("play of the rods' pins",),
        STILL,
        "entries:\n  yokes.{yoke}.rod.play: ___ um +- 5 um",
        ("yokes.{yoke}.rod.play",),
        per="yoke",
        repeats=3e-6,
    ),
    CardText(
        "lengths",
        "Yoke {yoke}: half-span and height of its face",
        "calliper, blocks, flat plate, feelers",
        (
            "Measure from the middle of what is guided to each yoke pin: over both, less half of both diameters.",
            "Lay the yoke pins on blocks on a flat plate. Feelers under the face tell its height against the pins.",
        ),
        ("half-span to the right and to the left", "height of the face against the drawing"),
        "",
        "entries:\n  yokes.{yoke}.half_span: ___ mm +- 0.02 mm\n  yokes.{yoke}.left_half_span: ___ mm +- 0.02 mm\n"
        "  yokes.{yoke}.outline.offset.1: ___ mm +- 0.02 mm",
        ("yokes.{yoke}.half_span", "yokes.{yoke}.left_half_span", "yokes.{yoke}.outline.offset.1"),
        per="yoke",
        repeats=1e-5,
    ),
    CardText(
        "face",
        "Yoke {yoke}: height of its face",
        "blocks, flat plate, feelers",
        (
            "Lay the slot on a bar of its own width across two blocks on a flat plate.",
            "Feelers under the face tell its height against the slot.",
        ),
        ("height of the face against the drawing",),
        "",
        "entries:\n  yokes.{yoke}.outline.offset.1: ___ mm +- 0.02 mm",
        ("yokes.{yoke}.outline.offset.1", "yokes.{yoke}.half_span", "yokes.{yoke}.left_half_span"),
        per="yoke",
        repeats=1e-5,
    ),
    CardText(
        "guide",
        "Guides of the yokes: play",
        "dial gauge",
        ("Rock each yoke in its guide with the dial at the end of what is guided.",),
        ("play of the guides; where they differ, the larger",),
        STILL,
        "entries:\n  fits.guide_play: ___ um +- 10 um",
        ("fits.guide_play",),
        repeats=3e-6,
    ),
    CardText(
        "timing",
        "Centres and timing of the two shafts",
        "plugs or close pins, calliper, flat plate, feelers",
        (
            "Put close plugs in both shaft bores and measure over them from outside; take off a plug's diameter.",
            "Set the inner crankpins at one height on a plate: feelers under the lower, their height over its radius.",
            "Push each shaft to and fro along itself with a dial at its end; the larger of both is the play.",
        ),
        ("centre distance", "how far the left crank leads", "play along the shafts"),
        FINGERS,
        "entries:\n  cranks.centre_distance: ___ mm +- 0.02 mm\n  fits.timing_error: ___ deg +- 0.1 deg\n"
        "  fits.axial_play: ___ mm +- 0.03 mm",
        ("cranks.centre_distance", "fits.timing_error", "fits.axial_play"),
        repeats=1e-5,
    ),
    CardText(
        "tap",
        "The case on its feet: stiffness and damping",
        "phone with an app that records acceleration at true times, a known mass of 300 to 500 g",
        (
            "Strap the phone on the case. Tap the case once with a knuckle along the cylinder and record it ringing.",
            "Tap it across the shafts (x) and along them (z) as well: rubber is softer in shear.",
            "Note the frequency, and some successive peaks of one side.",
            "Fix the known mass to the case near its middle and do it again: the frequency falls.",
            "Rubber is stiffer moving than still, so this is the stiffness that counts, not that of a push.",
        ),
        ("both frequencies", "the peaks", "mass of phone and of what was added"),
        "Tie the phone by a strap, its cable away from what turns. {Burner_off}",
        "tapped:\n  - {{frequency: ___ Hz +- 0.1 Hz, phone: ___ g,\n"
        "    decay: {{peaks: [1.00, ___, ___, ___]}}}}\n"
        "  - {{frequency: ___ Hz +- 0.1 Hz, phone: ___ g, added: ___ g}}\n"
        "  - {{along: x, frequency: ___ Hz +- 0.1 Hz, phone: ___ g}}\n"
        "  - {{along: z, frequency: ___ Hz +- 0.1 Hz, phone: ___ g}}",
        ("mount.feet.*", "mount.mass"),
        repeats=0.04,
        share=True,
    ),
    CardText(
        "feeler",
        "Gap of {upper} and {lower} at rest",
        "feelers of 0.05 mm and up, a mark of crank angle",
        (
            "Turn the cranks by hand to {angle} deg, where the gap is tightest.",
            "{open_gas}Let the yokes rest by their own weight; do not push them.",
            "Put feelers in over the whole width, so that they set both faces parallel.",
            "Find the thickest feeler that goes in and the thinnest that does not. Do not force it: it bends the yoke.",
        ),
        ("crank angle", "goes in, does not go in"),
        FINGERS,
        "gap:\n  - {{yokes: [{upper}, {lower}],\n    at: {angle} deg, feeler: [___ mm, ___ mm]}}",
        (),
        per="pair",
        repeats=5e-6,
        drawing="   ======== {upper}\n   --------  feeler\n   ======== {lower}",
    ),
    CardText(
        "knock",
        "The knock: from which speed on do the yokes touch?",
        "tachometer or phone, your ear, a second person",
        (
            "Start well below any speed at which it ever knocked. Go up slowly, 20 rpm at a time.",
            "Stop as soon as a new knock comes once a turn; write the speed down. Do not stay to search for the edge.",
            "If none comes, write down the fastest speed that you ran.",
            "A knock is always heard late: contact begins some 30 rpm lower.",
        ),
        ("speed from which on it is heard, or the speed up to which none is",),
        RUNNING,
        "first_contact: {{heard: ___ rpm +- 20 rpm}}\n# or first_contact: {{none_up_to: ___ rpm +- 10 rpm}}",
        (),
        repeats=0.02,
        share=True,
    ),
    CardText(
        "syringe",
        "Dead volume of the gas space",
        "syringe of 10 ml with a hose, pressure gauge of 0.1 kPa",
        (
            "Close the gas space, the syringe on it, at room temperature. Note how much gas syringe and hose hold.",
            "Push the plunger in by 2 ml, wait ten seconds, read the rise of pressure.",
            "If it falls away at once there is a leak: find it first.",
        ),
        ("gas in syringe and hose before", "how far it was pushed", "rise of pressure", "crank angle"),
        PRESSED,
        "pressure:\n  dead_by_syringe: {{before: ___ ml +- 0.2 ml, pushed: 2 ml +- 0.05 ml,\n"
        "    rise: ___ kPa +- 0.1 kPa, at: 0 deg}}",
        ("gas.dead.*",),
        repeats=0.03,
        share=True,
    ),
    CardText(
        "pressure",
        "Swing of the gas pressure",
        "gauge rated for the pressure, a small one-way valve",
        (
            "Gauge behind the one-way valve: it holds the highest pressure. Turn the valve round for the lowest.",
            "The valve takes some of it off, so what you find is never more than the swing. Keep the line short.",
        ),
        ("highest less lowest", "speed"),
        RUNNING + " Lines and gauge must be rated for the pressure; a pressurised case needs its relief valve.",
        "pressure:\n  swing: ___ kPa +- 2 kPa",
        ("gas.mean_pressure", "gas.case_pressure"),
        repeats=0.05,
        share=True,
    ),
    CardText(
        "temperatures",
        "Gas temperatures",
        "thermocouple of 0.5 mm, barometer",
        (
            "Bring the thermocouple through the seal into the hot and the cold space while it runs.",
            "On the outside of the cap it reads 50 to 200 K more than the gas inside has.",
        ),
        ("both temperatures", "pressure of the air, as it is where the engine runs"),
        RUNNING,
        "entries:\n  gas.hot: ___ degC +- 20 K\n  gas.cold: ___ degC +- 5 K",
        ("gas.hot", "gas.cold"),
        repeats=10.0,
    ),
    CardText(
        "brake",
        "Torque: brake, and drag turned cold",
        "rope or strap on the wheel, two spring scales, drill or falling mass",
        (
            "Lay the rope over the wheel with a scale on each side, your hand at the slack side.",
            "At each of six speeds, up and down again, wait until it is steady; read both scales and the hot end.",
            "Then turn it cold, cylinder open, by a drill or a falling mass at the same speeds: that is the drag.",
            "Without the drag, or the pressure's swing, friction and gas cannot be told apart.",
            "A table beside the design saves writing: `file: brake.csv` in place of points, with the heading "
            "speed (rpm), pull (N), slack (N), hot (degC).",
        ),
        ("radius of the wheel and half the rope", "speed, both pulls, hot end at each point"),
        RUNNING + " The slack end towards you, and never wound round the hand.",
        "brake:\n  radius: ___ mm +- 0.5 mm\n  points:  # a line for each speed\n"
        "    - {{speed: ___ rpm, pull: ___ N +- 0.05 N, slack: ___ N +- 0.05 N,\n"
        "      hot: ___ degC}}\n"
        "drag:\n  radius: ___ mm +- 0.5 mm\n  points:\n    - {{speed: ___ rpm, pull: ___ N +- 0.05 N}}",
        (),
        repeats=0.02,
        share=True,
    ),
)
"""In the order in which they are shown where nothing ranks them."""
