"""Smooth random fields and small image helpers on tensors n x 1 x H x W (any device)."""
import functools
import math
import random

import torch
import torch.nn.functional as F


@functools.lru_cache(maxsize=512)
def enlarging(k, size, device):
    """size x k matrix of bicubic interpolation: fields are made by matrix products, which a GPU does fastest."""
    return F.interpolate(torch.eye(k, device=device)[None, None], size=(size, k), mode="bicubic", align_corners=False)[0, 0]


def field(n, size, cell_px, device, octaves=3, gain=0.55):
    """Sum of octaves of smooth noise, zero mean and unit spread per sample: n x 1 x size x size."""
    total, amp, cell = 0.0, 1.0, float(cell_px)
    for _ in range(octaves):
        k = min(size, max(2, int(math.ceil(size / cell)) + 1))
        a = enlarging(k, size, device)
        total = total + a @ (torch.randn(n, k, k, device=device) * amp) @ a.T
        amp, cell = amp * gain, cell / 2
    spread, m = torch.std_mean(total, (1, 2), keepdim=True)
    return ((total - m) / (spread + 1e-6))[:, None]


def uniform(n, lo, hi, device):
    """n x 1 x 1 x 1 uniform numbers."""
    return lo + (hi - lo) * torch.rand(n, 1, 1, 1, device=device)


def chosen(n, p, device):
    """n x 1 x 1 x 1 of 0 or 1, one with probability p."""
    return (torch.rand(n, 1, 1, 1, device=device) < p).float()


def cell(lo, hi):
    """Log-uniform cell size in px."""
    return math.exp(random.uniform(math.log(lo), math.log(hi)))


@functools.lru_cache(maxsize=4096)
def smoothing(size, sigma, device):
    """size x size matrix of a Gaussian of sigma px, rows summing to 1 (so borders are renormalised)."""
    t = torch.arange(size, device=device).float()
    g = torch.exp(-0.5 * ((t[:, None] - t[None]) / sigma) ** 2)
    return g / g.sum(1, keepdim=True)


def blur(x, sigma):
    """Gaussian blur of n x c x H x W by one sigma in px (rounded to 0.1)."""
    sigma = max(0.3, round(sigma, 1))
    return smoothing(x.shape[-2], sigma, x.device) @ x @ smoothing(x.shape[-1], sigma, x.device).T


def blur_each(x, sigma):
    """Gaussian blur of n x c x s x s by n x 1 x 1 x 1 sigmas in px, at least 0.3; square, and free of choices made outside the device."""
    t = torch.arange(x.shape[-1], device=x.device).float()
    g = torch.exp(-0.5 * ((t[:, None] - t[None]) / sigma.clamp(min=0.3)) ** 2)
    g = g / g.sum(-1, keepdim=True)
    return g @ x @ g.transpose(-1, -2)


def linear_of(srgb):
    """sRGB 0..1 to linear 0..1 (IEC 61966-2-1)."""
    return torch.where(srgb <= 0.04045, srgb / 12.92, ((srgb.clamp(min=0) + 0.055) / 1.055) ** 2.4)


def srgb_of(lin):
    """Linear 0..1 to sRGB 0..1 (IEC 61966-2-1)."""
    return torch.where(lin <= 0.0031308, lin * 12.92, 1.055 * lin.clamp(min=1e-6) ** (1 / 2.4) - 0.055)


@functools.lru_cache(maxsize=256)
def constant(values, device):
    """A small tensor of nested tuples, kept on the device."""
    return torch.tensor(values, device=device)


WHITE = (0.95047, 1.0, 1.08883)
RGB_OF_XYZ = ((3.2406, -1.5372, -0.4986), (-0.9689, 1.8758, 0.0415), (0.0557, -0.2040, 1.0570))


def linear_rgb_of_lab(lab):
    """CIE Lab (D65) n x 3 -> linear sRGB n x 3, clipped to 0..1 (IEC 61966-2-1 matrix)."""
    fy = (lab[:, 0] + 16) / 116
    f = torch.stack((fy + lab[:, 1] / 500, fy, fy - lab[:, 2] / 200), 1)
    xyz = torch.where(f > 6 / 29, f ** 3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * constant(WHITE, lab.device)
    return (xyz @ constant(RGB_OF_XYZ, lab.device).T).clamp(0, 1)


def lch_colours(n, boxes, device):
    """n random colours from a tuple of ((L lo, hi), (C lo, hi), (h deg lo, hi)) boxes -> n x 3 x 1 x 1 linear rgb."""
    b = constant(boxes, device)[torch.randint(len(boxes), (n,), device=device)].float()
    u = torch.rand(n, 3, device=device)
    l, c, h = (b[:, :, 0] + u * (b[:, :, 1] - b[:, :, 0])).unbind(1)
    h = torch.deg2rad(h)
    return linear_rgb_of_lab(torch.stack((l, c * torch.cos(h), c * torch.sin(h)), 1)).view(n, 3, 1, 1)
