"""Weights of an ONNX file at half precision: half the size on disk, widened again before a reader that knows only full precision.

Only what is needed of the wire format: a file is ModelProto, its field 7 the graph, the graph's field 5 the initializers (TensorProto:
field 2 the data type, 1 FLOAT or 10 FLOAT16; field 9 the raw values). Everything else is passed on as it stands.
"""
import numpy as np

FLOAT, FLOAT16 = 1, 10


def varint(data, at):
    value = shift = 0
    while True:
        byte = data[at]
        value |= (byte & 127) << shift
        at, shift = at + 1, shift + 7
        if byte < 128:
            return value, at


def as_varint(value):
    out = bytearray()
    while value > 127:
        out.append(value & 127 | 128)
        value >>= 7
    out.append(value)
    return bytes(out)


def fields(data):
    """(number, wire type, value or bytes, whole field as bytes) of a message."""
    at = 0
    while at < len(data):
        start = at
        key, at = varint(data, at)
        number, wire = key >> 3, key & 7
        if wire == 0:
            value, at = varint(data, at)
        else:
            size, at = (8, at) if wire == 1 else (4, at) if wire == 5 else varint(data, at)
            value, at = data[at:at + size], at + size
        yield number, wire, value, data[start:at]


def packed(number, data):
    return as_varint(number << 3 | 2) + as_varint(len(data)) + data


def converted_tensor(data, source, target):
    parts = list(fields(data))
    if not any(n == 2 and v == source for n, _, v, _ in parts):
        return data
    types = {FLOAT: np.float32, FLOAT16: np.float16}
    out = b""
    for number, _, value, whole in parts:
        if number == 2:
            whole = as_varint(2 << 3) + as_varint(target)
        elif number == 9:
            whole = packed(9, np.frombuffer(value, types[source]).astype(types[target]).tobytes())
        out += whole
    return out


def with_graph_fields(model, wanted, change):
    """The bytes of an ONNX model with every field `wanted` of its graph (1 nodes, 5 initializers) changed by `change` (bytes -> bytes)."""
    out = b""
    for number, _, value, whole in fields(model):
        if number == 7:
            whole = packed(7, b"".join(packed(wanted, change(v)) if n == wanted else w for n, _, v, w in fields(value)))
        out += whole
    return out


def converted(model, source, target):
    """The bytes of an ONNX model with the initializers of one data type turned into the other."""
    return with_graph_fields(model, 5, lambda tensor: converted_tensor(tensor, source, target))


def halved(model):
    return converted(model, FLOAT, FLOAT16)


def widened(model):
    return converted(model, FLOAT16, FLOAT)
