"""Writes trained weights as ONNX, and checks that OpenCV's dnn module gives the same numbers.

  export.py SHARE WEIGHTS.pt [SHARE WEIGHTS.pt]... OUT.onnx

What several networks answer is averaged when run, by their shares, which are divided by their sum.
The file holds the weights at half precision (halves.py); a reader widens them first.
"""
import sys

import cv2
import numpy as np
import torch
from torch.nn.utils.fusion import fuse_conv_bn_eval

from halves import as_varint, fields, halved, packed, widened, with_graph_fields
from net import Shipped, read_network

TOLERANCE = 2e-3  # float32 sums in another order


def fused(net):
    """Folds each batch norm into the convolution before it, so that the file holds plain convolutions."""
    for module in net.modules():
        if isinstance(module, torch.nn.Sequential):
            for i in range(len(module) - 1):
                if isinstance(module[i], torch.nn.Conv2d) and isinstance(module[i + 1], torch.nn.BatchNorm2d):
                    module[i] = fuse_conv_bn_eval(module[i], module[i + 1])
                    module[i + 1] = torch.nn.Identity()
    return net


def with_limits_as_attributes(model):
    """The bytes of the model with the limits 0 and 6 of its Clip nodes as attributes, as before opset 11: OpenCV 4.6 reads no others."""
    limits = b""
    for name, value in ((b"min", 0.0), (b"max", 6.0)):  # AttributeProto: 1 name, 2 number, 20 type (1 is FLOAT)
        limits += packed(5, packed(1, name) + as_varint(2 << 3 | 5) + np.float32(value).tobytes() + as_varint(20 << 3) + as_varint(1))

    def node(data):  # NodeProto: 1 inputs, 4 operator, 5 attributes
        parts = list(fields(data))
        if not any(n == 4 and v == b"Clip" for n, _, v, _ in parts):
            return data
        picture = next(w for n, _, _, w in parts if n == 1)
        return picture + b"".join(w for n, _, _, w in parts if n != 1) + limits

    return with_graph_fields(model, 1, node)


def probe(height, width):
    """The test picture, by formula: 1 x 3 x height x width, value 0.5 + 0.5 sin(0.05 (c + 1) x + 0.03 y (c + 2) + c)."""
    c, y, x = np.meshgrid(np.arange(3), np.arange(height), np.arange(width), indexing="ij")
    return (0.5 + 0.5 * np.sin(0.05 * (c + 1) * x + 0.03 * y * (c + 2) + c)).astype(np.float32)[None]


def read(path):
    """The network of a weights file, ready to be exported, with its weights rounded to half precision."""
    net = fused(read_network(path).eval())
    for p in net.parameters():
        p.data = p.data.half().float()
    return net


def main():
    shares, paths, out = [float(s) for s in sys.argv[1:-1:2]], sys.argv[2:-1:2], sys.argv[-1]
    shipped = Shipped([read(path) for path in paths], [s / sum(shares) for s in shares]).eval()
    torch.onnx.export(shipped, torch.zeros(1, 3, 128, 192), out, opset_version=11, input_names=["rgb"], output_names=["classes"],
                      dynamic_axes={"rgb": {2: "height", 3: "width"}, "classes": {2: "half_height", 3: "half_width"}})
    with open(out, "rb") as fh:
        model = halved(with_limits_as_attributes(fh.read()))
    with open(out, "wb") as fh:
        fh.write(model)
    for size in ((128, 192), (320, 256)):
        x = probe(*size)
        with torch.no_grad():
            want = shipped(torch.from_numpy(x)).numpy()
        net = cv2.dnn.readNetFromONNX(np.frombuffer(widened(model), np.uint8))
        net.setInput(x)
        worst = float(np.abs(net.forward() - want).max())
        print(f"{size}: largest difference {worst:.2e}")
        if worst > TOLERANCE:
            raise SystemExit("cv2 and torch disagree")


if __name__ == "__main__":
    main()
