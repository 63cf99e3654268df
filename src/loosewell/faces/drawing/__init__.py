"""Our own drawings, in SVG, for page, report and paper alike."""

from loosewell.faces.drawing.butt import butt_panel, butt_sheet
from loosewell.faces.drawing.charts import curve_chart, rules_chart, width_chart
from loosewell.faces.drawing.launch import launch_panel, launch_sheet
from loosewell.faces.drawing.motion import motion
from loosewell.faces.drawing.pen import Sheet, png, resolved

__all__ = [
    "Sheet",
    "butt_panel",
    "butt_sheet",
    "curve_chart",
    "launch_panel",
    "launch_sheet",
    "motion",
    "png",
    "resolved",
    "rules_chart",
    "width_chart",
]
