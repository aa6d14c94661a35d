"""The residue networks, 3 x H x W in, 7 class maps out at half the input size: a small residual U-Net, and one whose encoder starts
from features of general photos.

Only layers that OpenCV's dnn module 4.6 loads from ONNX: Conv, Relu, Clip, Add, Concat, Resize (bilinear, half pixel), Softmax, Mul, Sub.
"""
import numpy as np
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


def class_head(width):
    """Logits of the classes from `width` channels; at first it says "none" everywhere."""
    head = nn.Conv2d(width, len(CLASSES), 1)
    nn.init.zeros_(head.weight)
    head.bias.data = torch.tensor([4.0] + [0.0] * 6)
    return head


class UNet(nn.Module):
    """RGB in 0..1, n x 3 x H x W with H and W multiples of 32 -> logits n x 7 x H/2 x W/2. Of its kind: stages, ups, head and scaled."""

    def forward(self, x):
        maps, y = [], self.scaled(x)
        for s in self.stages:
            y = s(y)
            maps.append(y)
        y = maps.pop()
        for up in self.ups:
            y = up(y, maps.pop())
        return self.head(y)


class ResidueNet(UNet):
    """A small residual U-Net."""

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
        self.head = class_head(widths[0])

    def scaled(self, x):
        return (x - 0.45) * 4.0


class Inverted(nn.Module):
    """Inverted residual block (Sandler and others, MobileNetV2, CVPR 2018, doi 10.1109/CVPR.2018.00474): widen, filter each channel, narrow."""

    def __init__(self, cin, cout, stride, widen):
        super().__init__()
        mid = cin * widen
        layers = [nn.Conv2d(cin, mid, 1, bias=False), nn.BatchNorm2d(mid), nn.ReLU6()] if widen > 1 else []
        layers += [nn.Conv2d(mid, mid, 3, stride, 1, groups=mid, bias=False), nn.BatchNorm2d(mid), nn.ReLU6(),
                   nn.Conv2d(mid, cout, 1, bias=False), nn.BatchNorm2d(cout)]
        self.layers = nn.Sequential(*layers)
        self.is_residual = stride == 1 and cin == cout

    def forward(self, x):
        return x + self.layers(x) if self.is_residual else self.layers(x)


class BorrowedNet(UNet):
    """A U-Net whose encoder is MobileNetV2's up to its block 15, so that weights learnt on general photos fit (encoder.py reads them)."""

    def __init__(self):
        super().__init__()
        stages = [[nn.Sequential(nn.Conv2d(3, 32, 3, 2, 1, bias=False), nn.BatchNorm2d(32), nn.ReLU6()), Inverted(32, 16, 1, 1)]]
        cin = 16
        for widths in ((24, 24), (32, 32, 32), (64, 64, 64, 64, 96, 96, 96), (160, 160, 160)):
            stages.append([])
            for i, w in enumerate(widths):
                stages[-1].append(Inverted(cin, w, 2 if i == 0 else 1, 6))
                cin = w
        self.stages = nn.ModuleList([nn.Sequential(*s) for s in stages])
        deep, self.ups = 160, nn.ModuleList()
        for skip, width in ((96, 112), (32, 80), (24, 48), (16, 32)):
            self.ups.append(Up(deep, skip, width))
            deep = width
        self.head = class_head(deep)

    def scaled(self, x):
        return x * 2.0 - 1.0

    def pairs(self):
        """(convolution, batch norm) of the encoder, in the order of the pictures' way."""
        flat = [m for m in self.stages.modules() if isinstance(m, (nn.Conv2d, nn.BatchNorm2d))]
        return list(zip(flat[::2], flat[1::2]))

    def borrow(self, path, pictures):
        """Encoder weights of encoder.py's file; each batch norm is set to do nothing on `pictures` (batches n x 3 x h x w, 0..1)."""
        with np.load(path) as z:
            given = [(torch.from_numpy(z[f"weight{i}"]), torch.from_numpy(z[f"bias{i}"])) for i in range(len(self.pairs()))]
        sums, hooks = {}, []
        for (conv, norm), (weight, bias) in zip(self.pairs(), given):
            conv.weight.data.copy_(weight)
            norm.running_mean.zero_()
            norm.running_var.fill_(1 - norm.eps)
            norm.weight.data.fill_(1)
            norm.bias.data.copy_(bias)
            sums[norm] = [0, 0, 0]

            def add(m, inputs):
                y = inputs[0].double()
                for k, v in enumerate((y.numel() // y.shape[1], y.sum((0, 2, 3)), (y * y).sum((0, 2, 3)))):
                    sums[m][k] = sums[m][k] + v
            hooks.append(norm.register_forward_pre_hook(add))
        self.eval()
        with torch.no_grad():
            for x in pictures:
                self(x)
        for h in hooks:
            h.remove()
        for norm, (n, first, second) in sums.items():
            mean = first / n
            var = (second / n - mean * mean).clamp(min=1e-6)
            norm.running_mean.copy_(mean)
            norm.running_var.copy_(var)
            norm.weight.data.copy_((var + norm.eps).sqrt())
            norm.bias.data.add_(mean.float())
        self.train()


NETWORKS = {"small": ResidueNet, "borrowed": BorrowedNet}


def read_network(path):
    """The network of a weights file, on the CPU, in full precision."""
    file = torch.load(path, map_location="cpu")
    net = NETWORKS[file.get("network", "small")]()
    net.load_state_dict({k: v.float() if v.is_floating_point() else v for k, v in file["state"].items()})
    return net


class Shipped(nn.Module):
    """The networks as exported: RGB 0..1, n x 3 x H x W, multiples of 64, in; class probabilities (n x 7 x H/2 x W/2, sum 1) out.

    Each looks at the picture twice, whole and at half its size; both looks count alike, the networks by their shares (sum 1).
    """

    def __init__(self, nets, shares):
        super().__init__()
        self.nets, self.shares = nn.ModuleList(nets), shares

    def look(self, x):
        """Half of what the networks say of x, so that two looks make one."""
        return sum(torch.softmax(net(x), 1) * (0.5 * share) for net, share in zip(self.nets, self.shares))

    def forward(self, x):
        fine, coarse = self.look(x), self.look(F.avg_pool2d(x, 2))
        return fine + F.interpolate(coarse, scale_factor=2.0, mode="bilinear", align_corners=False)
