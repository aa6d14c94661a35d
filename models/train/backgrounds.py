"""What lies under and round a board: stone, wood, cloth, mats, paper, drawn from noise. Never a residue, however much it looks like one."""
import random

import torch

from noise import cell, chosen, field, lch_colours, uniform

GROUND = (((5, 95), (0, 8), (0, 360)), ((25, 75), (5, 40), (40, 90)), ((20, 75), (10, 45), (170, 290)), ((15, 60), (5, 40), (0, 60)))


def grain_of(n, size, device):
    """A noise field stretched along one axis (wood, brushed metal) or not (stone, cloth)."""
    f = field(n, size, cell(2, 60), device, random.choice((1, 2, 3)))
    if random.random() < 0.4:
        line = field(n, size, cell(2, 30), device, 3).mean(3, keepdim=True) * 6
        f = 0.4 * f + line
    return f


def ground(n, size, device):
    """n x 3 x size x size linear rgb of harmless surfaces, evenly or unevenly lit."""
    a, b, c = (lch_colours(n, GROUND, device) for _ in range(3))
    near = uniform(n, 0.0, 1.0, device) ** 2
    b, c = a + (b - a) * near, a + (c - a) * uniform(n, 0.0, 1.0, device)
    hard = torch.exp(uniform(n, -0.5, 2.5, device))
    rgb = a + (b - a) * torch.sigmoid(hard * (grain_of(n, size, device) - uniform(n, -0.8, 1.5, device)))
    rgb = rgb + (c - rgb) * torch.sigmoid(hard * (grain_of(n, size, device) - uniform(n, 0.2, 2.2, device))) * chosen(n, 0.6, device)
    t = torch.arange(size, device=device).float()
    period, width = uniform(n, 20, 140, device), uniform(n, 0.8, 3.0, device)
    lines = torch.maximum(((t % period) < width).float(), ((t[:, None] % period) < width).float())
    rgb = rgb + (lch_colours(n, GROUND, device) - rgb) * lines * chosen(n, 0.2, device) * uniform(n, 0.2, 0.9, device)
    light = torch.exp(0.35 * field(n, size, size / 1.5, device, 1)) * uniform(n, 0.3, 1.3, device)
    return (rgb * light).clamp(0, 2)
