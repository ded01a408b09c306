"""The look of the pictures: classes under ``svg.hands``, light, and dark on a screen that asks for it.

Nothing is told by color alone: tips carry their names, plugs that are open stand apart, what is lit has a thick rim.
"""

STYLE = """
svg.hands text { font-family: "Liberation Sans", "DejaVu Sans", Arial, sans-serif; font-size: 11px; font-weight: 400;
  fill: #1d2733; }
svg.hands text.s { font-size: 10px; fill: #46525f; } svg.hands text.b { font-weight: 700; }
svg.hands text.big { font-size: 14px; font-weight: 700; } svg.hands text.row { font-size: 12px; }
svg.hands text.cap { fill: #46525f; } svg.hands text.off { font-weight: 700; fill: #8c1313; }
svg.hands .wash { fill: #eef1ee; }
svg.hands .wire { stroke: #46525f; stroke-width: 2; fill: none; }
svg.hands .box { fill: #fff; stroke: #46525f; stroke-width: 1.6; }
svg.hands .metal { fill: #7b8590; stroke: #46525f; stroke-width: 1; }
svg.hands .sign { fill: none; stroke: #1d2733; stroke-width: 1.6; }
svg.hands .shellhalf { fill: #cfd6d4; stroke: #46525f; stroke-width: 1.2; }
svg.hands .shellhalf.open { fill: #fff; stroke: #8c1313; stroke-width: 1.8; }
svg.hands .screw { fill: #fff; stroke: #46525f; stroke-width: 1.2; stroke-dasharray: 3 2; }
svg.hands .node { fill: #46525f; }
svg.hands .casing { stroke: #fff; stroke-width: 6; fill: none; stroke-linecap: round; }
svg.hands .lead { stroke-width: 3.4; fill: none; stroke-linecap: round; }
svg.hands .lead.red { stroke: #b3161b; } svg.hands .lead.black { stroke: #14181c; }
svg.hands .tip.red { fill: #b3161b; stroke: #fff; } svg.hands .tip.black { fill: #14181c; stroke: #fff; }
svg.hands text.red, svg.hands text.black { fill: #fff; }
svg.hands text.load { fill: #1d2733; stroke: none; }
svg.hands .load { fill: #ffe9a8; stroke: #6b4400; stroke-width: 1.6; }
svg.hands .bridge { fill: none; stroke: #6b4400; stroke-width: 2.4; }
svg.hands .shell { fill: #cfd6d4; stroke: #46525f; stroke-width: 1.6; }
svg.hands .face { fill: #f6f8f7; stroke: #46525f; stroke-width: 1.2; }
svg.hands .pin { fill: #fff; stroke: #46525f; stroke-width: 1.6; }
svg.hands .pin.red { fill: #b3161b; stroke: #b3161b; stroke-width: 3; }
svg.hands .pin.black { fill: #14181c; stroke: #14181c; stroke-width: 3; }
svg.hands .pin.load { fill: #ffe9a8; stroke: #6b4400; stroke-width: 3; }
svg.hands .body { fill: #eef1ee; stroke: #7b8590; stroke-width: 1.4; }
svg.hands .axle { stroke: #7b8590; stroke-width: 4; }
svg.hands .tire { fill: #d7dcdb; stroke: #46525f; stroke-width: 1.2; }
svg.hands .spot { fill: #fff; stroke: #46525f; stroke-width: 1.2; }
svg.hands .lit { fill: #0b3a44; stroke: #0b3a44; stroke-width: 3; }
svg.hands .halo { fill: none; stroke: #0b3a44; stroke-width: 2.4; }
svg.hands .doubt { fill: #f2c14e; stroke: #6b4400; stroke-width: 1.6; }
svg.hands .dialface { fill: #f6f8f7; stroke: #46525f; stroke-width: 1.6; }
svg.hands .pointer { stroke: #0b3a44; stroke-width: 4; stroke-linecap: round; }
svg.hands text.now { font-weight: 700; fill: #0b3a44; } svg.hands .sight { fill: #dfe6e0; stroke: #46525f; }
svg.hands .hole { fill: #fff; stroke: #46525f; stroke-width: 1.6; }
@media screen and (prefers-color-scheme: dark) {
svg.hands text { fill: #eef3f4; } svg.hands text.s, svg.hands text.cap { fill: #bfd0d4; }
svg.hands text.off { fill: #ffb0a6; }
svg.hands .wash, svg.hands .body { fill: #142a32; } svg.hands .wire { stroke: #b6c8cc; }
svg.hands .box, svg.hands .spot { fill: #071216; stroke: #b6c8cc; } svg.hands .sign { stroke: #eef3f4; }
svg.hands .shellhalf { fill: #35505a; stroke: #b6c8cc; } svg.hands .shellhalf.open { fill: #071216; stroke: #ffb0a6; }
svg.hands .screw { fill: #071216; stroke: #b6c8cc; }
svg.hands .node { fill: #b6c8cc; } svg.hands .casing { stroke: #e6eef0; stroke-width: 6; }
svg.hands .lead.red { stroke: #d3242b; } svg.hands .lead.black { stroke: #000; }
svg.hands .tip.red { fill: #d3242b; stroke: #e6eef0; } svg.hands .tip.black { fill: #000; stroke: #e6eef0; }
svg.hands text.red, svg.hands text.black { fill: #fff; }
svg.hands .bridge { stroke: #ffd07a; }
svg.hands .load, svg.hands .pin.load { fill: #4a3800; stroke: #ffd07a; } svg.hands text.load { fill: #ffeebb; }
svg.hands .shell { fill: #35505a; stroke: #b6c8cc; }
svg.hands .face, svg.hands .dialface { fill: #0c1c23; stroke: #b6c8cc; }
svg.hands .pin { fill: #071216; stroke: #b6c8cc; } svg.hands .pin.red { fill: #d3242b; stroke: #ffb0a6; }
svg.hands .pin.black { fill: #000; stroke: #e6eef0; }
svg.hands .tire { fill: #35505a; stroke: #b6c8cc; }
svg.hands .lit { fill: #bfe6ea; stroke: #bfe6ea; } svg.hands .halo { stroke: #bfe6ea; }
svg.hands .doubt { fill: #6b4400; stroke: #ffd07a; }
svg.hands .pointer { stroke: #bfe6ea; } svg.hands text.now { fill: #bfe6ea; }
svg.hands .sight { fill: #1a2f38; stroke: #b6c8cc; } svg.hands .hole { fill: #071216; stroke: #b6c8cc; }
}
"""
"""Classes of every picture of this room."""
