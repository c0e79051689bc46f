"""The force model compiled: vehicles driven step by step, with every figure that can be kept while they go.

Velocity Verlet with a predicted velocity: one force evaluation a step, second order,

    q' = q + v dt + a dt**2 / 2,   a' = M^-1 Q(q', v + a dt),   v' = v + (a + a') dt / 2

It is written as if for one vehicle. Vehicles go side by side in lanes, one number of each after the other in memory, and a
number is then one of each lane at once: see `vectors`. How many lanes there are is the length of the tuple `lanes`, known
when this is compiled; one vehicle alone is one lane, and its numbers are floats. So is how many wheels an element may join,
the length of `ends`: two, unless a walking beam or a cross-link joins more. `device` compiles the same for a graphics processor.
Working arrays live on the stack, which tells the compiler that no two of them overlap. `motion.forces` is the slow twin.
"""
