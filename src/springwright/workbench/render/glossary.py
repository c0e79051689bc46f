"""The words of the trade that the sheet uses, each in one line."""

TERMS = {
    "ride frequency": "how many times a second the body would rise and fall over this axle on its springs, undamped",
    "wheel rate": "force at the tyre's contact per wheel travel relative to the body, the tyre left out",
    "ride rate": "wheel rate in series with the tyre's rate",
    "spring rate": "force of one spring per its own deflection",
    "motion ratio": "spring travel divided by wheel travel; some books turn it over",
    "centre of gravity": "the point the whole mass balances on",
    "load factor": "spring force at the stop's contact divided by the static sprung load, in the same load state",
    "sprung mass": "what the suspension's springs carry",
    "unsprung mass": "wheels, hubs, axle and half of what links them to the body",
    "bump": "the wheel up, relative to the body",
    "droop": "the wheel down, relative to the body",
    "roll centre": "the point about which the body rolls over this axle, as ISO 8855 has it",
    "roll gradient": "roll of the body per lateral acceleration",
    "damping ratio": "share of the damping at which the motion would only just not swing back",
    "load state": "a named set of what is aboard",
    "window": "the ride frequencies that every requirement allows",
    "warp": "diagonal motion: left front and right rear up against the others",
    "camber": "lean of the wheel, positive with its top outward",
}
