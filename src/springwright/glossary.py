"""The words of the trade as they are used here: what each means, its symbol, unit and sign."""

from __future__ import annotations

from typing import NamedTuple


class TradeTerm(NamedTuple):
    """One word: its meaning in a line, and for a quantity its symbol, SI unit and what is positive."""

    means: str
    symbol: str = ""
    unit: str = ""
    sign: str = ""


TERMS: dict[str, TradeTerm] = {
    # what it carries
    "sprung mass": TradeTerm("what the suspension's springs carry", "m_s", "kg"),
    "unsprung mass": TradeTerm("wheels, hubs, axle and half of what links them to the body", "m_u", "kg"),
    "centre of gravity": TradeTerm("the point the whole mass balances on", "", "m", "ahead, to the left, up (ISO 8855)"),
    "load state": TradeTerm("a named set of what is aboard"),
    "design position": TradeTerm("where the axle stands in the design state: zero travel", "", "", "bump positive from there"),
    # how it moves
    "bump": TradeTerm("the wheel up, relative to the body", "", "m", "positive"),
    "droop": TradeTerm("the wheel down, relative to the body", "", "m", "told without a sign"),
    "warp": TradeTerm("diagonal motion: left front and right rear up against the others"),
    "heave": TradeTerm("the body straight up and down", "z", "m", "up"),
    "pitch": TradeTerm("the body about its lateral axis", "", "rad", "nose down"),
    "roll": TradeTerm("the body about its longitudinal axis", "", "rad", "right side down"),
    # springs and wheels
    "spring rate": TradeTerm("force of one spring per its own deflection", "k", "N/m"),
    "wheel rate": TradeTerm("force at the tyre's contact per wheel travel relative to the body, the tyre left out", "k_w", "N/m"),
    "ride rate": TradeTerm("wheel rate in series with the tyre's rate", "k_r", "N/m"),
    "single-wheel rate": TradeTerm("wheel rate of one wheel moved alone, the other held", "", "N/m"),
    "motion ratio": TradeTerm("spring travel divided by wheel travel; some books turn it over", "r", "", "positive where bump presses the spring"),
    "progression": TradeTerm("how the motion ratio changes with wheel travel", "r'", "1/m", "positive where it grows in bump"),
    "installed length": TradeTerm("distance between the spring's seats in the design position", "", "m"),
    "preload at full droop": TradeTerm("what the spring is still pressed by at full droop; without it the spring can leave its seat", "", "m", "positive while pressed"),
    "coil-bind clearance": TradeTerm("what is left to solid length at full bump", "", "m", "positive while there is some"),
    "ride height": TradeTerm("underside of the frame over an axle above level ground, in a load state", "", "m"),
    "ride height error": TradeTerm("how far an axle stands from its design position on a spring", "", "m", "high positive"),
    "bump load factor": TradeTerm("spring force at the stop's contact divided by the static sprung load, in the same load state", "N", ""),
    "spring base": TradeTerm("lateral distance between the springs of a beam axle", "", "m"),
    "track": TradeTerm("distance between the centres of the tyres' contact", "T", "m"),
    # frequencies and damping
    "ride frequency": TradeTerm("how many times a second the body would rise and fall over this axle on its springs, undamped", "f", "Hz"),
    "damping ratio": TradeTerm("share of the damping at which the motion would only just not swing back", "ζ", ""),
    "motion centre": TradeTerm("where the body stands still in a mode of bounce or pitch", "", "m", "behind the front axle"),
    "window": TradeTerm("the ride frequencies that every requirement allows", "", "Hz"),
    "governing limit": TradeTerm("the requirement that ends the window, or decides a question"),
    # what was built
    "standard uncertainty": TradeTerm("one standard deviation of what a reading may be off by (JCGM 100)", "u"),
    "logarithmic decrement": TradeTerm("natural logarithm of one peak of a free swing over the next of its side", "δ", ""),
    "cross weight": TradeTerm("share of the weight on the left front and right rear wheels", "", ""),
    "friction loop": TradeTerm("what lies between loads going on and coming off: its half height along the load is dry friction, less what the tyres give way", "", "N"),
    # linkage
    "pivot points": TradeTerm("where links, springs and joints turn", "", "m", "ahead of the axle, out from the centreline, above ground"),
    "camber": TradeTerm("lean of the wheel, positive with its top outward", "", "rad", "top outward"),
    "toe-in": TradeTerm("turn of the wheel about the vertical", "", "rad", "front inward"),
    "caster": TradeTerm("lean of the steering axis seen from the side", "", "rad", "top rearward"),
    "bump steer": TradeTerm("change of toe with travel", "", "rad"),
    "roll steer": TradeTerm("steer of an axle per roll of the body", "", "", "to the left per roll to the right"),
    "roll centre": TradeTerm("the point about which the body rolls over this axle, as ISO 8855 has it", "", "m", "above ground"),
    "instant centre": TradeTerm("the point a wheel turns about for the moment, seen from behind or from the side", "", "m"),
    "side-view slope": TradeTerm("how far ahead the contact point or the wheel centre goes per rise", "", "", "ahead"),
    "anti-dive": TradeTerm("share of the load transfer under braking that the links carry, not the springs", "", ""),
    "anti-squat": TradeTerm("the same under driving", "", ""),
    # stability and ground
    "roll gradient": TradeTerm("roll of the body per lateral acceleration", "", "rad*s**2/m"),
    "lateral load transfer": TradeTerm("load that goes from the inner to the outer wheels in a corner", "", "N"),
    "static stability factor": TradeTerm("track over twice the height of the centre of gravity: where a rigid body would tip", "T/2h", ""),
    "cross-axle articulation height": TradeTerm("height of a diagonal ditch at which the first wheel lifts", "", "m"),
    "ramp travel index": TradeTerm("distance driven up a stated ramp by one wheel before another lifts / wheelbase x 1000"),
    "duty cycle": TradeTerm("hours on each ground at a speed in a load state", "", "s"),
    "enveloped profile": TradeTerm("the ground as a tyre of some radius and footprint rides over it", "", "m", "up"),
    "vibration dose value": TradeTerm("fourth root of the integral of the fourth power of weighted acceleration (ISO 2631-1)", "VDV", "m/s**1.75"),
    "fatigue safety factor": TradeTerm("permissible over present stress range, for the strokes asked or without end", "", ""),
    # choosing
    "decision": TradeTerm("one thing that a builder can turn: a target, a part, a travel, a bar, a weight and its place"),
    "margin": TradeTerm("how far a figure lies from its limit, on the side that meets it", "", "", "positive where it is met"),
    "exchange rate": TradeTerm("what of one figure is lost per unit of another that is gained"),
    "front": TradeTerm("the designs none of which another betters in everything"),
    "knee": TradeTerm("the design of a front farthest from the line between its ends"),
    "build spread": TradeTerm("how far what is built lies from what is drawn, by the tolerances of its parts"),
    "energy balance error": TradeTerm("share of the work done that a drive's account of its energy leaves open", "", ""),
}  # fmt: skip
