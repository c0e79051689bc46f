"""What every part of the kernel is made with: how it is compiled, room on the stack, the force laws of `motion.laws` put in line."""

from __future__ import annotations

from numba import njit, types
from numba.extending import intrinsic
from numba.np.arrayobj import make_array, populate_array

from springwright.motion import laws
from springwright.motion.compiled import clear_stale

clear_stale()
# The law may be rearranged freely and is put in line, since handing its arrays over costs more than the law itself; the loop must still tell a number from none to notice a run that diverges.
LOOP = {"cache": True, "error_model": "numpy", "fastmath": {"contract", "nsz", "arcp"}, "nogil": True}
LAW = {**LOOP, "forceinline": True}


@intrinsic
def scratch(_typing, _count):
    """An array of `count` floats on the stack, not cleared; asked for outside every loop."""
    array = types.Array(types.float64, 1, "C")

    def make(context, builder, _signature, arguments):
        item = context.get_data_type(types.float64)
        room = builder.alloca(item, size=arguments[0])
        room.align = 64
        made = make_array(array)(context, builder)
        size = context.get_constant(types.intp, 8)
        populate_array(made, data=room, shape=(arguments[0],), strides=(size,), itemsize=size, meminfo=None)
        return made._getvalue()  # noqa: SLF001 (numba gives no other way to hand an array over)

    return array(types.intp), make


@njit(**LAW)
def low(a, b):
    """Lesser of two, as a choice the compiler can make for several lanes at once."""
    return a if a < b else b


@njit(**LAW)
def high(a, b):
    """Greater of two."""
    return a if a > b else b


in_cell, in_cell_energy, past_ends, past_end_energy, tyre_spring, tyre_energy, tyre_pushes, sliding, hitch_holds, hitch_energy = (
    njit(**LAW)(one)
    for one in (
        laws.in_cell, laws.in_cell_energy, laws.past_ends, laws.past_end_energy, laws.tyre_spring, laws.tyre_energy, laws.tyre_pushes,
        laws.sliding, laws.hitch_holds, laws.hitch_energy,
    )
)  # fmt: skip
