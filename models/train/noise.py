"""Smooth random fields and small image helpers on tensors n x 1 x H x W (any device)."""
import math
import random

import torch
import torch.nn.functional as F


def field(n, size, cell_px, device, octaves=3, gain=0.55):
    """Sum of octaves of smooth noise, zero mean and unit spread per sample: n x 1 x size x size."""
    total, amp, cell = 0.0, 1.0, float(cell_px)
    for _ in range(octaves):
        k = max(2, int(math.ceil(size / cell)) + 1)
        if k >= size:
            k = size
        total = total + amp * F.interpolate(torch.randn(n, 1, k, k, device=device), size=(size, size), mode="bicubic", align_corners=False)
        amp, cell = amp * gain, cell / 2
    m = total.mean((2, 3), keepdim=True)
    return (total - m) / (total.std((2, 3), keepdim=True) + 1e-6)


def uniform(n, lo, hi, device):
    """n x 1 x 1 x 1 uniform numbers."""
    return lo + (hi - lo) * torch.rand(n, 1, 1, 1, device=device)


def chosen(n, p, device):
    """n x 1 x 1 x 1 of 0 or 1, one with probability p."""
    return (torch.rand(n, 1, 1, 1, device=device) < p).float()


def cell(lo, hi):
    """Log-uniform cell size in px."""
    return math.exp(random.uniform(math.log(lo), math.log(hi)))


def blur(x, sigma):
    """Gaussian blur of n x c x H x W by one sigma in px; borders reflected."""
    r = max(1, int(math.ceil(2.5 * sigma)))
    t = torch.arange(-r, r + 1, device=x.device, dtype=x.dtype)
    k = torch.exp(-0.5 * (t / sigma) ** 2)
    k = k / k.sum()
    c = x.shape[1]
    x = F.conv2d(F.pad(x, (r, r, 0, 0), mode="reflect"), k.view(1, 1, 1, -1).repeat(c, 1, 1, 1), groups=c)
    return F.conv2d(F.pad(x, (0, 0, r, r), mode="reflect"), k.view(1, 1, -1, 1).repeat(c, 1, 1, 1), groups=c)


def linear_of(srgb):
    """sRGB 0..1 to linear 0..1 (IEC 61966-2-1)."""
    return torch.where(srgb <= 0.04045, srgb / 12.92, ((srgb.clamp(min=0) + 0.055) / 1.055) ** 2.4)


def srgb_of(lin):
    """Linear 0..1 to sRGB 0..1 (IEC 61966-2-1)."""
    return torch.where(lin <= 0.0031308, lin * 12.92, 1.055 * lin.clamp(min=1e-6) ** (1 / 2.4) - 0.055)


def linear_rgb_of_lab(lab):
    """CIE Lab (D65) n x 3 -> linear sRGB n x 3, clipped to 0..1."""
    fy = (lab[:, 0] + 16) / 116
    f = torch.stack((fy + lab[:, 1] / 500, fy, fy - lab[:, 2] / 200), 1)
    xyz = torch.where(f > 6 / 29, f ** 3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * torch.tensor([0.95047, 1.0, 1.08883], device=lab.device)
    m = torch.tensor([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]], device=lab.device)
    return (xyz @ m.T).clamp(0, 1)


def lch_colours(n, boxes, device):
    """n random colours from a list of ((L lo, hi), (C lo, hi), (h deg lo, hi)) boxes -> n x 3 x 1 x 1 linear rgb."""
    b = torch.tensor([[*l, *c, *h] for l, c, h in boxes], device=device)[torch.randint(len(boxes), (n,), device=device)]
    u = torch.rand(n, 3, device=device)
    l = b[:, 0] + u[:, 0] * (b[:, 1] - b[:, 0])
    c = b[:, 2] + u[:, 1] * (b[:, 3] - b[:, 2])
    h = torch.deg2rad(b[:, 4] + u[:, 2] * (b[:, 5] - b[:, 4]))
    return linear_rgb_of_lab(torch.stack((l, c * torch.cos(h), c * torch.sin(h)), 1)).view(n, 3, 1, 1)
