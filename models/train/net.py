"""The residue network: a small residual U-Net, 3 x H x W in, 7 class maps out at half the input size.

Only layers that OpenCV's dnn module 4.6 loads from ONNX: Conv, Relu, Add, Concat, Resize (bilinear, half pixel), Softmax, Mul, Sub.
"""
import torch
import torch.nn as nn
import torch.nn.functional as F

CLASSES = ("none", "copper-salt", "leak-film", "white-salt", "rust", "attacked-joint", "eaten-copper")
WIDTHS = (24, 40, 72, 104, 120)
DEPTHS = (1, 2, 2, 3, 2)


def conv_bn(cin, cout, stride=1, dilation=1):
    """3x3 convolution with batch norm; padding keeps H/stride x W/stride."""
    return nn.Sequential(nn.Conv2d(cin, cout, 3, stride, dilation, dilation, bias=False), nn.BatchNorm2d(cout))


class Block(nn.Module):
    """Residual block of two 3x3 convolutions; input and output n x width x h x w."""

    def __init__(self, width, dilation=1):
        super().__init__()
        self.a = conv_bn(width, width, dilation=dilation)
        self.b = conv_bn(width, width, dilation=dilation)

    def forward(self, x):
        return F.relu(x + self.b(F.relu(self.a(x))))


class Up(nn.Module):
    """Doubles the deep map, joins the skip map, and mixes both into `width` channels."""

    def __init__(self, deep, skip, width):
        super().__init__()
        self.narrow = nn.Conv2d(deep, width, 1)
        self.mix = conv_bn(width + skip, width)

    def forward(self, deep, skip):
        up = F.interpolate(self.narrow(deep), scale_factor=2.0, mode="bilinear", align_corners=False)
        return F.relu(self.mix(torch.cat((up, skip), 1)))


class ResidueNet(nn.Module):
    """RGB in 0..1, n x 3 x H x W with H and W multiples of 32 -> logits n x 7 x H/2 x W/2."""

    def __init__(self, widths=WIDTHS, depths=DEPTHS):
        super().__init__()
        stages, cin = [], 3
        for i, (w, d) in enumerate(zip(widths, depths)):
            dil = (1, 2) if i == len(widths) - 1 else (1,)
            layers = [conv_bn(cin, w, 2), nn.ReLU(inplace=True)] + [Block(w, dil[k % len(dil)]) for k in range(d)]
            stages.append(nn.Sequential(*layers))
            cin = w
        self.stages = nn.ModuleList(stages)
        self.ups = nn.ModuleList([Up(widths[i + 1], widths[i], widths[i])
                                  for i in reversed(range(len(widths) - 1))])
        self.head = nn.Conv2d(widths[0], len(CLASSES), 1)
        nn.init.zeros_(self.head.weight)
        self.head.bias.data = torch.tensor([4.0] + [0.0] * 6)

    def forward(self, x):
        maps, y = [], (x - 0.45) * 4.0
        for s in self.stages:
            y = s(y)
            maps.append(y)
        y = maps.pop()
        for up in self.ups:
            y = up(y, maps.pop())
        return self.head(y)


class Shipped(nn.Module):
    """The networks as exported: RGB 0..1, n x 3 x H x W, multiples of 64, in; class probabilities (n x 7 x H/2 x W/2, sum 1) out.

    Each looks at the picture twice, whole and at half its size, and all looks are averaged.
    """

    def __init__(self, nets):
        super().__init__()
        self.nets = nn.ModuleList(nets)

    def forward(self, x):
        small = F.avg_pool2d(x, 2)
        fine = sum(torch.softmax(net(x), 1) for net in self.nets) * (0.5 / len(self.nets))
        coarse = sum(torch.softmax(net(small), 1) for net in self.nets) * (0.5 / len(self.nets))
        return fine + F.interpolate(coarse, scale_factor=2.0, mode="bilinear", align_corners=False)
