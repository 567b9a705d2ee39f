"""Closes a node of the working on its own inputs: an evaluator of its own, without the core."""

import ast
import math
import operator
from typing import Any

_BINARY = {ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
           ast.Pow: operator.pow}  # fmt: skip
_FUNCTIONS = {
    "sqrt": math.sqrt,
    "sin": lambda x: math.sin(math.radians(x)),
    "cos": lambda x: math.cos(math.radians(x)),
    "tan": lambda x: math.tan(math.radians(x)),
    "atan": lambda x: math.degrees(math.atan(x)),
    "abs": abs,
    "min": min,
    "max": max,
}


def evaluated(node: dict[str, Any]) -> float:
    """What the expression of a node gives for its inputs."""
    values = {entry["symbol"]: entry["value"] for entry in node["inputs"]}
    if node["expression"] == "sum(m)":
        return math.fsum(values.values())
    if node["expression"] == "sum(m*z)":
        return math.fsum(values[f"m{i}"] * values[f"z{i}"] for i in range(1, len(values) // 2 + 1))
    return _value(ast.parse(node["expression"].replace("^", "**"), mode="eval").body, values)


def _value(part: ast.expr, values: dict[str, float]) -> float:
    match part:
        case ast.Constant(value=number):
            return float(number)
        case ast.Name(id=symbol):
            return values[symbol]
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -_value(operand, values)
        case ast.BinOp(left=left, op=op, right=right):
            return float(_BINARY[type(op)](_value(left, values), _value(right, values)))
        case ast.Call(func=ast.Name(id=name), args=args):
            return float(_FUNCTIONS[name](*(_value(each, values) for each in args)))
    raise AssertionError(ast.dump(part))
