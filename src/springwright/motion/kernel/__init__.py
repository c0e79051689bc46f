"""The force model compiled: vehicles driven step by step, with every figure that can be kept while they go.

Velocity Verlet with a predicted velocity: one force evaluation a step, second order,

    q' = q + v dt + a dt**2 / 2,   a' = M^-1 Q(q', v + a dt),   v' = v + (a + a') dt / 2

Vehicles go side by side in lanes, one number of each after the other in memory, so that the processor works on several at
once: X[item * W + lane]. W is the length of the tuple `lanes`, known when this is compiled; one vehicle alone is W = 1.
So is how many wheels an element may join, the length of `ends`: two, unless a walking beam or a cross-link joins more.
Working arrays live on the stack, which tells the compiler that no two of them overlap. `motion.forces` is the slow twin.
"""
