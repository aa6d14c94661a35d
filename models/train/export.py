"""Writes trained weights as ONNX, and checks that OpenCV's dnn module gives the same numbers.

  export.py WEIGHTS.pt... OUT.onnx

Several weights are averaged when run. The file holds the weights at half precision (halves.py); a reader widens them first.
"""
import sys

import cv2
import numpy as np
import torch
from torch.nn.utils.fusion import fuse_conv_bn_eval

from halves import halved, widened
from net import ResidueNet, Shipped

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


def probe(height, width):
    """The test picture, by formula: 1 x 3 x height x width, value 0.5 + 0.5 sin(0.05 (c + 1) x + 0.03 y (c + 2) + c)."""
    c, y, x = np.meshgrid(np.arange(3), np.arange(height), np.arange(width), indexing="ij")
    return (0.5 + 0.5 * np.sin(0.05 * (c + 1) * x + 0.03 * y * (c + 2) + c)).astype(np.float32)[None]


def read(path):
    """The network of a weights file, ready to be exported, with its weights rounded to half precision."""
    net = ResidueNet()
    net.load_state_dict({k: v.float() if v.is_floating_point() else v for k, v in torch.load(path, map_location="cpu")["state"].items()})
    net = fused(net.eval())
    for p in net.parameters():
        p.data = p.data.half().float()
    return net


def main():
    shipped, out = Shipped([read(path) for path in sys.argv[1:-1]]).eval(), sys.argv[-1]
    torch.onnx.export(shipped, torch.zeros(1, 3, 128, 192), out, opset_version=11, input_names=["rgb"], output_names=["classes"],
                      dynamic_axes={"rgb": {2: "height", 3: "width"}, "classes": {2: "half_height", 3: "half_width"}})
    with open(out, "rb") as fh:
        model = halved(fh.read())
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
