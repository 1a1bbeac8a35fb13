"""An invented file of bolts in which something is wrong or missing in every joint, for tests of what is said of it."""

from __future__ import annotations

__all__ = ["ODD_BOLTS"]

ODD_BOLTS = """\
format: 1
name: odd bolts
fasteners:
  - {id: long, name: bolt longer than its hole, thread: M6x1.0, strength: "8.8", head: hex flange, into: aluminium,
     under_head: aluminium, length_mm: 40, grip_mm: 20, thread_depth_mm: 15, count: 2, stages: [{torque: 10 N·m}]}
  - {id: tight, name: torque above proof, thread: M6x1.0, strength: "8.8", head: hex flange, into: steel,
     under_head: steel, length_mm: 30, grip_mm: 20, thread_depth_mm: 15, count: 2, stages: [{torque: 24 N·m}]}
  - {id: nameless, name: class unknown, thread: M8x1.25, strength: "88", head: hex flange, into: steel,
     length_mm: 30, grip_mm: 18, thread_depth_mm: 15, count: 2, stages: [{torque: 24 N·m}]}
  - {id: nogrip, name: grip missing, thread: M8x1.25, strength: "8.8", head: hex flange, into: steel,
     length_mm: 30, thread_depth_mm: 15, count: 2, stages: [{torque: 18 lbf·ft}]}
  - {id: ring, name: order computed, thread: M8x1.25, strength: "8.8", head: hex flange, into: steel,
     length_mm: 30, grip_mm: 18, thread_depth_mm: 15, stages: [{torque: 12 N·m}, {torque: 24 N·m}],
     places: [{id: a, at_mm: [0, 50]}, {id: b, at_mm: [50, 0]}, {id: c, at_mm: [0, -50]}, {id: d, at_mm: [-50, 0]}]}
  - {id: turned, name: left-hand nut, kind: nut, hand: left, thread: M22x1.0, count: 1, stages: [{torque: 115 N·m}]}
"""
