"""Every figure as a function that draws on axes of the caller's: `draw_x(axes, evaluation)`; for notebooks.

    from matplotlib.figure import Figure
    from designs.evaluate import Evaluation
    from designs.pages import axes
    from designs.reading import read

    evaluation = Evaluation(read("my-engine.yaml"))
    figure = Figure()
    axes.draw_gap_map(figure.add_subplot(), evaluation)
    axes.draw_bearing_loads(figure.add_subplot(projection="polar"), evaluation)

Those that say so want polar axes; those of a shaft take `place` (0 right, 1 left), those of two yokes `pair`.
`draw_learned_gap` takes a forecast (designs.learning) in the evaluation's place.
"""

from designs.pages.axes_counterweight import draw_counterweight, draw_trade_off
from designs.pages.axes_doubt import draw_gap_band
from designs.pages.axes_gap import (
    draw_gap_budget,
    draw_gap_map,
    draw_gap_over_speed,
    draw_gap_stack,
    draw_gap_stack_over_angle,
)
from designs.pages.axes_learned import draw_learned_gap
from designs.pages.axes_mechanism import draw_mechanism
from designs.pages.axes_motion import draw_heights, draw_indicator, draw_torque
from designs.pages.axes_shafts import draw_bearing_loads, draw_bending, draw_critical_speeds, draw_run_up
from designs.pages.axes_shaking import draw_force_orders, draw_pitch_orders, draw_shaking_over_turn, draw_vibration
from designs.pages.axes_strength import draw_safety, draw_stress

__all__ = [
    "draw_bearing_loads",
    "draw_bending",
    "draw_counterweight",
    "draw_critical_speeds",
    "draw_force_orders",
    "draw_gap_band",
    "draw_gap_budget",
    "draw_gap_map",
    "draw_gap_over_speed",
    "draw_gap_stack",
    "draw_gap_stack_over_angle",
    "draw_heights",
    "draw_indicator",
    "draw_learned_gap",
    "draw_mechanism",
    "draw_pitch_orders",
    "draw_run_up",
    "draw_safety",
    "draw_shaking_over_turn",
    "draw_stress",
    "draw_torque",
    "draw_trade_off",
    "draw_vibration",
]
