"""Reads the encoder of an SSD MobileNetV2 detector in TensorFlow Lite's file format, as weights for net.BorrowedNet.

  encoder.py DETECTOR.tflite OUT.npz

The weights used were learnt on the Open Images V4 photos and are under the Apache License 2.0: the file
object_detection_ssd_mobilenetv2_oidv4_fp16.tflite inside the packed assets of the npm package @mediapipe/objectron
0.4.1675468480 (bytes 184 to 9987912 of objectron_solution_packed_assets.data). Needs Debian's python3-flatbuffers.
OUT.npz holds weight0, bias0, weight1, ... of its convolutions, in the order of the picture's way, as output x input x
rows x columns (channel x 1 x rows x columns where each channel is filtered alone), batch norms folded in. Field numbers
are those of TensorFlow Lite's schema.fbs, version 3.
"""
import sys

import numpy as np
from flatbuffers import number_types
from flatbuffers.table import Table

ADD, CONV_2D, DEPTHWISE_CONV_2D, DEQUANTIZE = 0, 3, 4, 6
WANTED = 48  # convolutions up to and with block 15


class Node:
    """A table of the file; fields by their number in the schema."""

    def __init__(self, data, at):
        self.table = Table(data, at)

    def offset(self, field):
        return self.table.Offset(4 + 2 * field)

    def number(self, field, flags):
        at = self.offset(field)
        return self.table.Get(flags, at + self.table.Pos) if at else 0

    def array(self, field, flags):
        at = self.offset(field)
        return self.table.GetVectorAsNumpy(flags, at) if at else np.zeros(0, int)

    def nodes(self, field):
        at = self.offset(field)
        start, count = (self.table.Vector(at), self.table.VectorLen(at)) if at else (0, 0)
        return [Node(self.table.Bytes, self.table.Indirect(start + 4 * i)) for i in range(count)]


def convolutions(path):
    """[(weight float32, bias float32)] of the detector's first WANTED convolutions."""
    with open(path, "rb") as fh:
        data = bytearray(fh.read())
    model = Node(data, int.from_bytes(data[:4], "little"))
    codes = [c.number(0, number_types.Int8Flags) for c in model.nodes(1)]
    buffers, graph = model.nodes(4), model.nodes(2)[0]
    tensors, values = graph.nodes(0), {}

    def value(index):
        t = tensors[index]
        raw = buffers[t.number(2, number_types.Uint32Flags)].array(0, number_types.Uint8Flags)
        kind = np.float16 if t.number(1, number_types.Int8Flags) else np.float32
        return raw.tobytes() and np.frombuffer(raw.tobytes(), kind).reshape(t.array(0, number_types.Int32Flags)).astype(np.float32)

    steps = [(codes[op.number(0, number_types.Uint32Flags)], *(op.array(f, number_types.Int32Flags) for f in (1, 2))) for op in graph.nodes(3)]
    read_on = {i for code, inputs, _ in steps if code in (ADD, CONV_2D, DEPTHWISE_CONV_2D) for i in inputs}  # what only tells boxes is not
    out = []
    for code, inputs, outputs in steps:
        if code == DEQUANTIZE:
            values[outputs[0]] = value(inputs[0])
        elif code in (CONV_2D, DEPTHWISE_CONV_2D) and outputs[0] in read_on:
            weight = values[inputs[1]]
            out.append((weight.transpose(0, 3, 1, 2) if code == CONV_2D else weight.transpose(3, 0, 1, 2), values[inputs[2]]))
    return out[:WANTED]


def main():
    arrays = {}
    for i, (weight, bias) in enumerate(convolutions(sys.argv[1])):
        arrays |= {f"weight{i}": weight, f"bias{i}": bias}
    np.savez(sys.argv[2], **arrays)


if __name__ == "__main__":
    main()
