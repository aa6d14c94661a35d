"""What a camera and a file do to a crop: colour cast, exposure, blur, noise, sharpening, JPEG. sRGB 0..1, n x 3 x s x s."""
import functools
import math

import torch
import torch.nn.functional as F

from noise import blur, blur_each, chosen, field, linear_of, srgb_of, uniform


def hue_turned(lin, degrees):
    """Turns the colours about the grey axis by n x 1 x 1 x 1 degrees (linear rgb)."""
    c, s = torch.cos(torch.deg2rad(degrees)), torch.sin(torch.deg2rad(degrees))
    r, g, b = lin[:, :1], lin[:, 1:2], lin[:, 2:]
    k, q = (1 - c) / 3, s / math.sqrt(3)
    return torch.cat(((c + k) * r + (k - q) * g + (k + q) * b, (k + q) * r + (c + k) * g + (k - q) * b,
                      (k - q) * r + (k + q) * g + (c + k) * b), 1).clamp(0, 4)


def cast(lin):
    """White balance, exposure, saturation, contrast, vignetting; linear in, sRGB out."""
    n, d = lin.shape[0], lin.device
    gains = torch.exp(torch.randn(n, 3, 1, 1, device=d) * uniform(n, 0.0, 0.16, d))
    lin = lin * gains * torch.exp(uniform(n, -0.55, 0.5, d))
    lin = lin * (1 + uniform(n, 0, 0.25, d) * field(n, lin.shape[-1], lin.shape[-1], d, 1)).clamp(0.4, 1.6)
    grey = lin.mean(1, keepdim=True)
    lin = grey + (lin - grey) * uniform(n, 0.6, 1.45, d)
    x = srgb_of(lin.clamp(0, 1))
    x = x ** torch.exp(uniform(n, -0.25, 0.3, d))
    curve = uniform(n, -0.25, 0.5, d)
    return (x + curve * (x * x * (3 - 2 * x) - x)).clamp(0, 1)


def soften(x):
    """Blur of a strength drawn for each crop, a third of them with sharpening on top."""
    n, d = x.shape[0], x.device
    much = chosen(n, 0.25, d)
    sigma = uniform(n, 0.4, 1.6, d) * (1 - much) + uniform(n, 1.6, 3.0, d) * much
    blurred = chosen(n, 0.6, d)
    x = x + blurred * (blur_each(x, sigma) - x)
    sharpened = chosen(n, 0.35, d) * uniform(n, 0.2, 1.0, d)
    return (x + sharpened * (x - blur_each(x, uniform(n, 0.7, 1.6, d)))).clamp(0, 1)


@functools.lru_cache(maxsize=8)
def dct_matrix(size, device):
    """size x size: 8 x 8 orthonormal DCT-II blocks on the diagonal."""
    k = torch.arange(8, device=device).float()
    m = torch.cos((2 * k.view(1, -1) + 1) * k.view(-1, 1) * math.pi / 16) * 0.5
    m[0] *= math.sqrt(0.5)
    return torch.block_diag(*[m] * (size // 8))


def quantised(plane, steps):
    """Rounds the 8 x 8 DCT of n x 1 x h x w (0..255 scale, sizes multiples of 8) to n x 8 x 8 steps."""
    h, w = plane.shape[2:]
    mh, mw = dct_matrix(h, plane.device), dct_matrix(w, plane.device)
    st = steps.repeat(1, h // 8, w // 8)[:, None]
    return mh.T @ (torch.round(mh @ plane @ mw.T / st) * st) @ mw


def jpeg(x):
    """JPEG-like loss: YCbCr 4:2:0, quantised DCT, quality about 35 to 97 (tables approximated by a ramp)."""
    n, d = x.shape[0], x.device
    y = (0.299 * x[:, :1] + 0.587 * x[:, 1:2] + 0.114 * x[:, 2:]) * 255
    cb, cr = (x[:, 2:] * 255 - y) * 0.564, (x[:, :1] * 255 - y) * 0.713
    ramp = torch.arange(8, device=d).float()
    ramp = 10 + 6 * (ramp.view(-1, 1) + ramp.view(1, -1))
    strength = torch.exp(uniform(n, math.log(0.05), math.log(1.1), d)).view(n, 1, 1)
    y = quantised(y, (ramp * strength).clamp(min=1))
    small = [F.interpolate(quantised(F.avg_pool2d(c, 2), (1.6 * ramp * strength).clamp(min=1)), scale_factor=2.0, mode="bilinear", align_corners=False)
             for c in (cb, cr)]
    return (torch.cat((y + 1.402 * small[1], y - 0.344 * small[0] - 0.714 * small[1], y + 1.772 * small[0]), 1) / 255).clamp(0, 1)


def photographed(lin):
    """Linear crop -> sRGB crop as a camera would file it."""
    n, d = lin.shape[0], lin.device
    x = soften(cast(lin))
    noise = torch.randn_like(x)
    noise = noise + chosen(n, 0.5, d) * blur(torch.randn_like(x), 0.8) * 1.5
    x = (x + noise * uniform(n, 0, 0.022, d) * (0.5 + x)).clamp(0, 1)
    keep = chosen(n, 0.2, d)
    return keep * x + (1 - keep) * jpeg(x)


def as_linear(srgb):
    return linear_of(srgb)
