"""What every report says: assumptions and sources."""

ASSUMPTIONS = (
    "The speed is constant while limits are looked at; how far it fluctuates stands under fluctuation of speed.",
    "Yokes, rods, webs and counterweights are rigid bodies for the forces; the bending that these cause is then "
    "counted in the gap.",
    "No friction. A yoke's two rods share what it needs along the cylinder equally; the guide takes what is left "
    "across and no tilting moment.",
    "Vibration of the cranks is counted where it changes a deflection or a load by 1 percent; the case stays still in "
    "it.",
    "Gas, where it is computed and not measured: each space at its own steady temperature, no leaks, no flow losses "
    "but those stated.",
    "Clearance and pin play are taken up along the load at each angle; backlash on the side that the tooth force "
    "decides.",
    "Only parts whose size is given bend: pins, webs, arms and rods without one count as rigid.",
)

SOURCES = (
    "Isothermal gas with the real volumes: Schmidt's analysis, as in Urieli and Berchowitz, Stirling Cycle Engine "
    "Analysis.",
    "Deflection of stepped shafts: unit-load method, Timoshenko, Strength of Materials, part I; shear coefficient: "
    "Cowper, J. Appl. Mech. 33 (1966), 335.",
    "Cantilevers and torsion of rectangles: Roark's Formulas for Stress and Strain.",
    "Radial internal clearance: ISO 5753-1. Bearing life and static load: ISO 281, ISO 76. Boundary sizes: ISO 15.",
    "Fatigue and yield of shafts, gear tooth bending: Shigley's Mechanical Engineering Design, 9th edition.",
    "Whirl: Genta, Dynamics of Rotating Systems; Den Hartog, Mechanical Vibrations.",
    "Quality of balance: ISO 21940-11. Vibration zones: ISO 10816-1, annex B, now ISO 20816-1 (from memory).",
    "Strength of screws: ISO 898-1; threads: ISO 261.",
)
