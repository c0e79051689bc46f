"""Numbers side by side: a type that holds one number of each lane in the processor's own vectors.

The kernel is written once, as if for one vehicle. Its arrays are handed to it flat, lane last; `numbers` lets it see them
as arrays of such vectors where there are several lanes, and as what they are where there is one.
"""

from __future__ import annotations

import operator

import numpy as np
from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.core.errors import TypingError
from numba.core.imputils import impl_ret_borrowed, lower_cast
from numba.core.typeconv import Conversion
from numba.extending import intrinsic, lower_builtin, models, register_model, type_callable
from numba.np import arrayobj

LANE = (types.float64, types.int64)  # what a lane has one of; indices that lanes share are unsigned


class Vector(types.Type):
    """`count` numbers of a kind side by side."""

    def __init__(self, item: types.Type, count: int) -> None:
        self.item, self.count = item, count
        super().__init__(name=f"Vector({item}, {count})")

    def can_convert_from(self, _context, other):
        """Any number can stand in every lane."""
        return Conversion.safe if isinstance(other, types.Number | types.Boolean) else None

    def unify(self, _context, other):
        """What begins as a number and goes on as one of each lane is one of each lane."""
        return self if isinstance(other, types.Number | types.Boolean) else None

    @property
    def key(self) -> tuple[types.Type, int]:
        """What makes two of them alike."""
        return self.item, self.count


@register_model(Vector)
class VectorModel(models.PrimitiveModel):
    """As LLVM has it."""

    def __init__(self, manager, kind) -> None:
        item = ir.IntType(1) if kind.item == types.boolean else manager[kind.item].get_value_type()
        super().__init__(manager, kind, ir.VectorType(item, kind.count))


class Numbers(types.Type):
    """Numbers one after the other: where they lie, and nothing else. Who reads knows how many there are."""

    def __init__(self, number: types.Type) -> None:
        self.dtype = number
        super().__init__(name=f"Numbers({number})")

    @property
    def key(self) -> types.Type:
        """What makes two of them alike."""
        return self.dtype


@register_model(Numbers)
class NumbersModel(models.PrimitiveModel):
    """A pointer."""

    def __init__(self, manager, kind) -> None:
        super().__init__(manager, kind, manager[kind.dtype].get_data_type().as_pointer())


@type_callable(operator.getitem)
def _typed_get(_context):
    return lambda row, at: row.dtype if isinstance(row, Numbers) and isinstance(at, types.Integer) else None


@lower_builtin(operator.getitem, Numbers, types.Integer)
def _get(context, builder, signature, arguments):
    at = context.cast(builder, arguments[1], signature.args[1], types.intp)
    return builder.load(builder.gep(arguments[0], [at], inbounds=True), align=8)


@type_callable(operator.setitem)
def _typed_set(_context):
    return lambda row, at, _value: types.none if isinstance(row, Numbers) and isinstance(at, types.Integer) else None


@lower_builtin(operator.setitem, Numbers, types.Integer, types.Any)
def _set(context, builder, signature, arguments):
    row, at, value = signature.args
    at = context.cast(builder, arguments[1], at, types.intp)
    number = context.cast(builder, arguments[2], value, row.dtype)
    builder.store(number, builder.gep(arguments[0], [at], inbounds=True), align=8)
    return context.get_dummy_value()


def spread(builder, value, kind):
    """A number in every lane of a vector."""
    made = builder.insert_element(
        ir.Constant(ir.VectorType(value.type, kind.count), ir.Undefined), value, ir.Constant(ir.IntType(32), 0)
    )
    mask = ir.Constant(ir.VectorType(ir.IntType(32), kind.count), [0] * kind.count)
    return builder.shuffle_vector(made, made, mask)


@lower_cast(types.Number, Vector)
@lower_cast(types.Boolean, Vector)
def _spread(context, builder, have, want, value):
    return spread(builder, context.cast(builder, value, have, want.item), want)


@lower_cast(Vector, Vector)
def _between(context, builder, have, want, value):
    if have.item == want.item:
        return value
    assert want.item == types.float64, want  # whole numbers among floats; the other way only `whole` goes
    return builder.sitofp(value, context.get_value_type(want))


def common(*kinds: types.Type) -> types.Type | None:
    """What numbers of these kinds are when they meet: a vector as soon as one is, floats as soon as one is."""
    vectors = [one for one in kinds if isinstance(one, Vector)]
    items = [one.item if isinstance(one, Vector) else one for one in kinds]
    if not all(isinstance(one, types.Number | types.Boolean) for one in items):
        return None
    item = types.float64 if any(isinstance(one, types.Float) for one in items) else types.int64
    return Vector(item, vectors[0].count) if vectors else item


def _both(context, builder, signature, arguments, kind):
    return [context.cast(builder, value, have, kind) for value, have in zip(arguments, signature.args, strict=True)]


def _arithmetic(operation, inplace, floating, whole) -> None:
    @type_callable(operation)
    def typed(_context):
        return lambda a, b: common(a, b) if isinstance(a, Vector) or isinstance(b, Vector) else None

    def made(context, builder, signature, arguments):
        kind = signature.return_type
        name = floating if isinstance(kind.item, types.Float) else whole
        return getattr(builder, name)(*_both(context, builder, signature, arguments, kind))

    type_callable(inplace)(typed)
    for one in (operation, inplace):
        for a, b in ((Vector, Vector), (Vector, types.Number), (types.Number, Vector)):
            lower_builtin(one, a, b)(made)


for _one in (
    (operator.add, operator.iadd, "fadd", "add"),
    (operator.sub, operator.isub, "fsub", "sub"),
    (operator.mul, operator.imul, "fmul", "mul"),
    (operator.truediv, operator.itruediv, "fdiv", ""),
):
    _arithmetic(*_one)


def _comparison(operation, sign) -> None:
    @type_callable(operation)
    def typed(_context):
        def answer(a, b):
            if not (isinstance(a, Vector) or isinstance(b, Vector)):
                return None
            return Vector(types.boolean, common(a, b).count)

        return answer

    def made(context, builder, signature, arguments):
        kind = common(*signature.args)
        a, b = _both(context, builder, signature, arguments, kind)
        if isinstance(kind.item, types.Float):
            return builder.fcmp_unordered(sign, a, b) if sign == "!=" else builder.fcmp_ordered(sign, a, b)
        return builder.icmp_signed(sign, a, b)

    for a, b in ((Vector, Vector), (Vector, types.Number), (types.Number, Vector)):
        lower_builtin(operation, a, b)(made)


for _two in (
    (operator.lt, "<"),
    (operator.le, "<="),
    (operator.gt, ">"),
    (operator.ge, ">="),
    (operator.eq, "=="),
    (operator.ne, "!="),
):
    _comparison(*_two)


@type_callable(operator.and_)
def _typed_and(_context):
    return lambda a, b: a if isinstance(a, Vector) and a == b else None


@lower_builtin(operator.and_, Vector, Vector)
def _and(_context, builder, _signature, arguments):
    return builder.and_(*arguments)


@type_callable(operator.neg)
def _typed_minus(_context):
    return lambda a: a if isinstance(a, Vector) else None


@lower_builtin(operator.neg, Vector)
def _minus(_context, builder, _signature, arguments):
    return builder.fneg(arguments[0])


def _function(function, name) -> None:
    @type_callable(function)
    def _typed(_context):
        return lambda x: x if isinstance(x, Vector) else None

    @lower_builtin(function, Vector)
    def _made(_context, builder, _signature, arguments):
        kind = arguments[0].type
        named = f"{name}.v{kind.count}{kind.element.intrinsic_name}"
        function = cgutils.get_or_insert_function(builder.module, ir.FunctionType(kind, [kind]), named)
        return builder.call(function, arguments)


_function(np.sqrt, "llvm.sqrt")
_function(abs, "llvm.fabs")


def _choice(sign):
    def make(_typing, a, b):
        kind = common(a, b)

        def build(context, builder, signature, arguments):
            a, b = _both(context, builder, signature, arguments, kind)
            return builder.select(builder.fcmp_ordered(sign, a, b), a, b)

        return kind(a, b), build

    return make


low = intrinsic(_choice("<"))
high = intrinsic(_choice(">"))


@intrinsic
def pick(_typing, condition, a, b):
    """`a` where a condition holds, else `b`."""
    kind = common(a, b)
    if isinstance(condition, Vector) and not isinstance(kind, Vector):
        kind = Vector(kind, condition.count)

    def build(context, builder, signature, arguments):
        chosen = context.cast(builder, arguments[1], signature.args[1], kind)
        other = context.cast(builder, arguments[2], signature.args[2], kind)
        return builder.select(arguments[0], chosen, other)

    return kind(condition, a, b), build


@intrinsic
def whole(_typing, x):
    """Whole part of a number that is not below nought."""
    kind = Vector(types.int64, x.count) if isinstance(x, Vector) else types.int64

    def build(context, builder, _signature, arguments):
        return builder.fptosi(arguments[0], context.get_value_type(kind))

    return kind(x), build


@intrinsic
def anywhere(_typing, condition):
    """Whether a condition holds in any lane."""

    def build(_context, builder, _signature, arguments):
        if not isinstance(condition, Vector):
            return arguments[0]
        bits = builder.bitcast(arguments[0], ir.IntType(condition.count))
        return builder.icmp_unsigned("!=", bits, ir.Constant(bits.type, 0))

    return types.boolean(condition), build


@intrinsic
def part(_typing, x, lane):
    """The number of one lane."""

    def build(_context, builder, _signature, arguments):
        return builder.extract_element(*arguments) if isinstance(x, Vector) else arguments[0]

    return (x.item if isinstance(x, Vector) else x)(x, lane), build


@intrinsic
def own(_typing, lanes):
    """Number of each lane."""
    kind = Vector(types.int64, lanes.count) if lanes.count > 1 else types.int64

    def build(context, _builder, _signature, _arguments):
        if lanes.count == 1:
            return context.get_constant(types.int64, 0)
        return ir.Constant(context.get_value_type(kind), list(range(lanes.count)))

    return kind(lanes), build


def _number(item, lanes):
    return Vector(item, lanes.count) if lanes.count > 1 and item in LANE else item


@intrinsic
def gather(_typing, row, index):
    """What a row of single numbers holds at an index, which each lane has its own of."""
    kind = Vector(row.dtype, index.count) if isinstance(index, Vector) else row.dtype

    def build(context, builder, _signature, arguments):
        held, at = arguments
        if not isinstance(index, Vector):
            return builder.load(builder.gep(held, [at], inbounds=True))
        made = ir.Constant(context.get_value_type(kind), ir.Undefined)
        for lane in range(index.count):
            place = ir.Constant(ir.IntType(32), lane)
            item = builder.load(builder.gep(held, [builder.extract_element(at, place)], inbounds=True))
            made = builder.insert_element(made, item, place)
        return made

    return kind(row, index), build


def _seen(kind, lanes):
    """How lanes see an array, or a tuple of them: a row of numbers, one of each lane where it has a float or a signed number for each."""
    if isinstance(kind, types.Array) and kind.ndim == 1:
        if kind.layout != "C":
            raise TypingError(f"a flat array whose numbers lie one after the other is wanted, not {kind}")
        return Numbers(_number(kind.dtype, lanes))
    if isinstance(kind, types.NamedTuple):
        return types.NamedTuple([_seen(one, lanes) for one in kind.types], kind.instance_class)
    return kind


def _see(context, builder, kind, lanes, value):
    seen = _seen(kind, lanes)
    if isinstance(kind, types.NamedTuple):
        made = context.get_constant_undef(seen)
        for i, one in enumerate(kind.types):
            made = builder.insert_value(made, _see(context, builder, one, lanes, builder.extract_value(value, i)), i)
        return made
    if not isinstance(seen, Numbers):
        return value
    return builder.bitcast(arrayobj.make_array(kind)(context, builder, value).data, context.get_value_type(seen))


@intrinsic
def numbers(_typing, array, lanes):
    """A flat array, lane last, as a row of numbers; a tuple of such likewise. Indices that lanes share are unsigned."""

    def build(context, builder, signature, arguments):
        made = _see(context, builder, signature.args[0], lanes, arguments[0])
        return impl_ret_borrowed(context, builder, signature.return_type, made)

    return _seen(array, lanes)(array, lanes), build


@intrinsic
def scratch(_typing, _count, lanes):
    """A row of `count` numbers on the stack, not cleared; asked for outside every loop."""
    row = Numbers(_number(types.float64, lanes))

    def build(context, builder, _signature, arguments):
        room = builder.alloca(context.get_data_type(row.dtype), size=arguments[0])
        room.align = 64
        return room

    return row(types.intp, lanes), build
