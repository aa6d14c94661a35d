"""Paints residues and look-alikes into crops of clean board photos, in linear light. Every function takes and returns a Scene.

Colours come from the CIELAB ranges of reference minerals (USGS Spectral Library Version 7, doi 10.5066/F7RR1WDJ: malachite, chrysocolla,
azurite, verdigris, cerussite, goethite, hematite), widened for wet, thin and mixed deposits; shapes and rates are common practice, no source.
"""
import random
from dataclasses import dataclass

import torch
import torch.nn.functional as F

from noise import blur, cell, chosen, field, lch_colours, uniform

COPPER_SALT = (((42, 72), (22, 50), (185, 222)), ((48, 80), (18, 44), (150, 190)), ((25, 55), (26, 55), (232, 280)),
               ((42, 70), (26, 54), (212, 262)), ((60, 85), (12, 30), (180, 245)), ((18, 42), (18, 40), (188, 235)),)
WHITE_SALT = (((70, 97), (0, 5), (60, 280)), ((65, 90), (2, 9), (190, 270)), ((65, 92), (3, 10), (70, 110)),)
RUST = (((22, 48), (18, 45), (40, 70)),)
COPPER = (((42, 70), (12, 32), (38, 65)), ((30, 52), (8, 24), (25, 60)), ((45, 72), (6, 16), (20, 60)))
DARK = (((8, 26), (1, 10), (20, 90)),)
SUBSTRATE = (((38, 62), (6, 22), (85, 135)), ((35, 60), (8, 24), (60, 90)),)
PART = (((25, 65), (25, 60), (230, 285)), ((30, 70), (20, 50), (170, 230)), ((30, 65), (20, 55), (120, 170)), ((55, 90), (5, 40), (60, 95)),
        ((25, 55), (10, 50), (20, 70)), ((60, 95), (0, 8), (0, 360)), ((15, 50), (0, 10), (0, 360)),)

GLUE = (((50, 90), (0, 14), (60, 110)),)

WASHED = 0.3  # of the painted boards lost films and salts to a wash
VISIBLE = 0.06  # least change of the square root of linear light that a person would outline


@dataclass
class Scene:
    lin: torch.Tensor     # n x 3 x s x s linear rgb
    label: torch.Tensor   # n x 1 x s x s, 0..6 or 255 (int64)
    mask: torch.Tensor    # n x 1 x s x s float: on solder mask or trace
    trace: torch.Tensor   # n x 1 x s x s float
    blobs: torch.Tensor   # n x 1 x s x s int64 blob numbers
    light: torch.Tensor   # n x 3 x s x s: light on a white surface, per channel
    event: torch.Tensor   # n x 1 x s x s: 0..1 how strongly the leak reached this place
    vias: torch.Tensor    # n x 1 x s x s int64 numbers of painted vias, 0 until add_vias

    @property
    def n(self):
        return self.lin.shape[0]

    @property
    def size(self):
        return self.lin.shape[-1]

    @property
    def device(self):
        return self.lin.device

    def noise(self, lo, hi, octaves=3):
        return field(self.n, self.size, cell(lo, hi), self.device, octaves)

    def draw(self, p):
        return chosen(self.n, p, self.device)

    def between(self, lo, hi):
        return uniform(self.n, lo, hi, self.device)

    def colours(self, boxes):
        return lch_colours(self.n, boxes, self.device)

    def paint(self, rgb, alpha, number, sure=0.4, unsure=0.1):
        """Lays rgb (times the light) over the crop by alpha 0..1; label where alpha > sure, not scored where it is between."""
        before = self.lin
        self.lin = before * (1 - alpha) + rgb * self.light * alpha
        seen = blur((self.lin.clamp(min=0).sqrt() - before.clamp(min=0).sqrt()).abs().amax(1, keepdim=True), 1.5) > VISIBLE
        whole = blur(alpha, 2.0)  # people draw round a deposit, not round its grains
        lab = torch.where((whole > unsure) & (self.label == 0), torch.full_like(self.label, 255), self.label)
        full = (whole > sure) | ((alpha > 0.7) & (whole > 0.3))
        self.label = torch.where(full & seen, torch.full_like(lab, number), torch.where(full & (lab == 0), torch.full_like(lab, 255), lab))


def light_of(lin):
    """Light on a white surface: bright level around each pixel, kept at least a third of the crop's bright level."""
    small = F.avg_pool2d(lin, 4)
    top = torch.quantile(small.flatten(2).mean(1), 0.96, dim=1).view(-1, 1, 1, 1).clamp(min=0.04)
    local = F.max_pool2d(small.mean(1, keepdim=True), 25, 1, 12)
    env = F.interpolate(blur(local, 10.0), size=lin.shape[-2:], mode="bilinear", align_corners=False)
    level = torch.maximum(env, 0.45 * top).clamp(0.05, 1.1)
    tint = small.mean((2, 3), keepdim=True)
    tint = (tint / tint.mean(1, keepdim=True).clamp(min=1e-3)).clamp(0.7, 1.4) ** 0.35
    return level * tint * uniform(lin.shape[0], 0.6, 1.15, lin.device)


def event_of(where):
    """Where a leak reached: one to three ragged places a twentieth to a half of the crop wide, none in some crops.

    where n x 1 x s x s: how likely each place is the middle of a leak.
    """
    n, size, device = where.shape[0], where.shape[-1], where.device
    cells = F.avg_pool2d(where.float(), 16).flatten(1) + 0.02
    across = size // 16
    g = torch.linspace(0, 1, size, device=device)
    yy, xx = g.view(1, 1, -1, 1), g.view(1, 1, 1, -1)
    rag = field(n, size, cell(size / 8, size / 2), device, 3)
    best = torch.full((n, 1, size, size), -9.0, device=device)
    for p in (0.92, 0.45, 0.25):
        radius = 0.05 * torch.exp(uniform(n, 0.0, 2.2, device))
        at = torch.multinomial(cells, 1)
        cx, cy = (((v + torch.rand(n, 1, device=device)) / across).view(-1, 1, 1, 1) for v in (at % across, at // across))
        r = torch.sqrt((xx - cx) ** 2 + (yy - cy) ** 2) / radius
        best = torch.maximum(best, 1 - r - 9 * (1 - chosen(n, p, device)))
    return torch.sigmoid((best + uniform(n, 0.1, 0.5, device) * rag) / uniform(n, 0.08, 0.3, device))


def px_of(s):
    """(rows 1 x 1 x s x 1, columns 1 x 1 x 1 x s), px."""
    t = torch.arange(s.size, device=s.device).float()
    return t.view(1, 1, -1, 1), t.view(1, 1, 1, -1)


def bare_mask(s):
    """n x 3 x s x s: light of the solder mask without traces round each place."""
    bare = (s.mask > s.trace).float()
    return blur(s.lin * bare, 9.0) / blur(bare, 9.0).clamp(min=0.02)


def on_board(s):
    """n x 1 x s x s: about 1 on the board, soft at its edge."""
    return (1.3 * blur(s.mask, 2.0)).clamp(0, 1)


def blob_share(s, blobs, rate):
    """n x 1 x s x s: 1 on the blobs (numbers, n x 1 x s x s) drawn with probability rate x event."""
    table = torch.rand(s.n, 256, device=s.device)
    u = torch.gather(table, 1, blobs.flatten(1)).view(blobs.shape)
    return ((blobs > 0) & (u < rate * s.event)).float()


def relief(height, lo, hi):
    """Shading of a height field under slant light: about 1, n x 1 x s x s."""
    n, device = height.shape[0], height.device
    dx = F.pad(height[..., :, 1:] - height[..., :, :-1], (0, 1))
    dy = F.pad(height[..., 1:, :] - height[..., :-1, :], (0, 0, 0, 1))
    ang = uniform(n, 0, 6.2832, device)
    return (1 + uniform(n, lo, hi, device) * (dx * torch.cos(ang) + dy * torch.sin(ang))).clamp(0.35, 1.8)


def grain(s, boxes):
    """Albedo of a crust: two related colours mixed by noise, whitish and dark specks, relief: n x 3 x s x s."""
    a, b = s.colours(boxes), s.colours(boxes)
    b = a + (b - a) * s.between(0.0, 0.7)
    coarse, fine = s.noise(6, 30), s.noise(2, 9, 2)
    rgb = a + (b - a) * torch.sigmoid(2 * coarse)
    white = torch.sigmoid((fine + 0.5 * coarse - s.between(0.9, 2.6)) * 4) * s.between(0.0, 0.7) * s.draw(0.5)
    rgb = rgb + (0.8 - rgb) * white
    dark = torch.sigmoid((-fine - 0.4 * coarse - s.between(1.0, 2.8)) * 4) * s.between(0.0, 0.8) * s.draw(0.6)
    return rgb * (1 - dark) * torch.exp(0.18 * s.between(0.3, 1.5) * fine) * relief(coarse + 0.5 * fine, 0.0, 0.5)


def crust_alpha(s, support, opacity):
    """Broken, soft-edged cover of `support` (any real field, high where the crust sits) gated by the event, on or near the board."""
    f = support + s.between(0.3, 0.8) * s.noise(12, 60) + s.between(0.05, 0.35) * s.noise(2, 8, 2)
    edge = s.between(0.06, 0.35)
    gate = 3.0 * (s.event - s.between(0.3, 0.7)).clamp(-1, 0.3)
    a = torch.sigmoid((f + gate - s.between(0.5, 1.4)) / edge) * (s.event > 0.1)
    thin = torch.sigmoid(2.5 * (s.noise(4, 20) + s.between(0.2, 2.5)))
    board = (5 * blur(torch.maximum(s.mask, (s.blobs > 0).float()), 8.0)).clamp(0, 1)
    return a * opacity * (0.4 + 0.6 * thin) * board


def near_metal(s):
    """About 1 on blobs and their rim, partly on traces; which of the two, by sample."""
    metal = (s.blobs > 0).float()
    spread = blur(metal, random.uniform(1.0, 5.0))
    return 2.2 * (spread * s.between(0.3, 1.4)).clamp(0, 1) + s.draw(0.5) * s.between(0.3, 1.6) * blur(s.trace, random.uniform(0.8, 2.5))


def filling(s, blobs, often):
    """Cover of single blobs filled with salt, in a share `often` of the scenes: n x 1 x s x s."""
    filled = blur(blob_share(s, blobs, random.uniform(0.1, 0.7)), 0.8) * s.draw(often) * s.between(0.5, 1.0)
    return filled * torch.sigmoid(3 * (s.noise(3, 10) + s.between(-0.3, 1.5)))


def add_copper_salt(s):
    """Green to blue crust on metal, along traces, as free blooms, and filling single blobs."""
    on = s.draw(0.8)
    free = s.draw(0.35) * 0.9 * s.noise(30, 140) + 0.3 * s.draw(0.3) - 0.35
    a = crust_alpha(s, near_metal(s) + free, s.between(0.6, 1.0)) * on
    single = torch.maximum(filling(s, s.blobs, 0.6), filling(s, s.vias, 0.5))
    s.paint(grain(s, COPPER_SALT), torch.maximum(a, single).clamp(0, 1), 1)


def add_white_salt(s):
    """White to bluish powder and crust, thin over the solder mask or thick at parts."""
    on = s.draw(0.45)
    free = 1.0 * s.noise(14, 70) + 0.5 * s.noise(3, 9, 2) + 0.3 * near_metal(s) + 0.2
    a = crust_alpha(s, free, s.between(0.3, 0.95)) * on
    s.paint(grain(s, WHITE_SALT), a, 3)


def add_film(s):
    """Brown or dark film over the solder mask with a darker rim, and a grey haze that is not scored."""
    haze = s.draw(0.5) * s.between(0.05, 0.4) * torch.sigmoid(4 * (s.event - 0.4) + 0.6 * s.noise(8, 60)) * s.mask
    grey = s.lin.mean(1, keepdim=True) * 0.7 + 0.25 * s.light.mean(1, keepdim=True)
    s.lin = s.lin * (1 - haze) + grey * haze * s.between(0.7, 1.1)
    s.label = torch.where((haze > 0.14) & (s.label == 0), torch.full_like(s.label, 255), s.label)
    f = s.noise(60, 200, 2) + 0.25 * s.noise(8, 30) + 3 * (s.event - 0.5).clamp(-1, 0.3) - s.between(0.2, 1.2)
    a = torch.sigmoid(f / s.between(0.05, 0.3)) * s.draw(0.4) * blur(s.mask, 3.0)
    rim = torch.exp(-((f / 0.25) ** 2)) * a
    stain = torch.cat((s.between(0.5, 0.85), s.between(0.35, 0.7), s.between(0.15, 0.5)), 1)
    depth = a * s.between(0.5, 1.3) + rim * s.between(0.0, 0.8)
    s.lin = s.lin * stain ** depth + 0.03 * s.light * a * s.between(0.0, 1.0)
    s.label = torch.where(a > 0.5, torch.full_like(s.label, 2), torch.where((a > 0.15) & (s.label == 0), torch.full_like(s.label, 255), s.label))


def add_attacked_joint(s):
    """Blobs gone dull: grey, matt, mottled, sometimes tinged; no highlight left."""
    share = blob_share(s, s.blobs, random.uniform(0.6, 1.2)) * s.draw(0.9)
    rim = blur(F.max_pool2d(share, 3, 1, 1), 0.7)
    grey = s.between(0.08, 0.34) * torch.exp(0.25 * s.noise(2, 7, 2)) * (1 + 0.35 * relief(s.noise(3, 9, 2), 0.0, 0.5) - 0.35)
    tint = torch.cat((s.between(0.88, 1.1), s.between(0.92, 1.08), s.between(0.8, 1.05)), 1)
    pit = torch.sigmoid(5 * (s.noise(2, 6, 2) - s.between(0.6, 2.0)))
    keep = s.between(0.0, 0.25)
    matt = grey * tint * (1 - 0.7 * pit) + keep * (s.lin / s.light.clamp(min=0.03)).clamp(0, 1)
    s.paint(matt, rim * s.between(0.75, 1.0), 5)


def add_eaten_copper(s):
    """Traces without their coat: coppery, brown or pitted; dark rings of vias; a disc eaten out of a plane."""
    run = torch.sigmoid(s.between(5, 30) * (s.noise(20, 90, 2) + 2.5 * (s.event - 0.6) - s.between(-0.1, 0.9))) * (s.event > 0.25)
    wide = F.max_pool2d(s.trace, 3, 1, 1)
    a = blur(wide * run, 0.7) * s.draw(0.85) * s.between(0.6, 1.0)
    pits = torch.sigmoid(5 * (s.noise(3, 12) - s.between(0.3, 2.0)))
    rgb = s.colours(COPPER) * torch.exp(0.25 * s.noise(2, 10)) * (1 - pits) + s.colours(DARK) * pits
    s.paint(rgb, a, 6, sure=0.4)
    holes = blur(blob_share(s, s.blobs, random.uniform(0.1, 0.5)) * s.draw(0.55), 0.8)
    s.paint(s.colours(DARK) + 0.35 * s.colours(COPPER) * torch.sigmoid(2 * s.noise(3, 8)), holes * 0.95, 6)
    eat_vias(s)
    f = s.noise(50, 140, 2) + 0.3 * s.noise(6, 20) + 2 * (s.event - 0.7).clamp(-1, 0.3) - s.between(0.9, 1.6)
    disc = torch.sigmoid(f / 0.05) * s.draw(0.05) * blur(s.mask, 4.0) * (s.event > 0.4)
    edge = torch.exp(-((f / 0.09) ** 2))
    rgb = s.colours(SUBSTRATE) * torch.exp(0.15 * s.noise(3, 12)) * (1 - 0.75 * edge)
    s.paint(rgb, disc * 0.9, 6)


def eat_vias(s):
    """Painted vias gone dark or brown, their edge ragged, some with the coat off round them or a paler hole left."""
    gone = blob_share(s, s.vias, random.uniform(0.3, 1.3)) * s.draw(0.8)
    grown = F.max_pool2d(gone, 5, 1, 2) if random.random() < 0.5 else gone
    ragged = torch.sigmoid(6 * (blur(grown, 1.0) - 0.5) + s.between(0.0, 1.2) * s.noise(2, 7, 2))
    inner = blur(gone, 2.5)
    hole = torch.sigmoid(8 * (inner - 0.8)) * s.between(-0.5, 1.0)
    rgb = s.colours(DARK) * torch.exp(0.3 * s.noise(2, 8, 2)) + (0.1 + 0.5 * s.draw(0.4)) * s.colours(COPPER) * torch.sigmoid(2 * s.noise(2, 8))
    s.paint(rgb * (1 + hole).clamp(0.3, 2.0), ragged * blur(grown, 0.7) * s.between(0.7, 1.0), 6)


def add_rust(s):
    """Orange to brown granular stain at larger metal things."""
    metal = blur((s.blobs > 0).float(), 4.0) + 0.4 * s.noise(20, 60)
    s.paint(grain(s, RUST), crust_alpha(s, metal, s.between(0.5, 1.0)) * s.draw(0.1), 4)


def add_parts(s, count=3):
    """Look-alikes, label 0: smooth coloured bodies with crisp edges, shading and highlight, covering what is below."""
    g = torch.linspace(0, 1, s.size, device=s.device)
    yy, xx = g.view(1, 1, -1, 1), g.view(1, 1, 1, -1)
    for _ in range(count):
        cx, cy, ang = s.between(0, 1), s.between(0, 1), s.between(0, 3.1416)
        ru, rv = s.between(0.015, 0.16), s.between(0.01, 0.09)
        u = ((xx - cx) * torch.cos(ang) + (yy - cy) * torch.sin(ang)) / ru
        v = (-(xx - cx) * torch.sin(ang) + (yy - cy) * torch.cos(ang)) / rv
        p = torch.where(s.draw(0.5) > 0, torch.full_like(cx, 2.0), torch.full_like(cx, 10.0))
        d = (u.abs() ** p + v.abs() ** p).clamp(min=1e-6) ** (1 / p)
        a = torch.sigmoid((1 - d) * ru * s.size / s.between(0.4, 1.5)) * s.draw(0.4)
        shade = (1 - s.between(0, 0.7) * v * v.abs().clamp(max=1.2)).clamp(0.15, 1.3)
        gloss = torch.exp(-(((v + s.between(-0.6, 0.6)) / s.between(0.08, 0.4)) ** 2)) * s.between(0.0, 0.8) * s.draw(0.6)
        rgb = s.colours(PART) * shade * torch.exp(s.between(0, 0.08) * s.noise(2, 20)) + gloss
        s.lin = s.lin * (1 - a) + rgb * s.light * a
        top = torch.sqrt(((u - s.draw(0.5) * 2 + 1) * ru / (rv * s.between(0.3, 1.0))) ** 2 + v ** 2)  # a can's end at one side
        end = torch.sigmoid((1 - top) * rv * s.size / s.between(0.4, 1.5)) * s.draw(0.5) * (a.amax((2, 3), keepdim=True) > 0.5)
        metal = s.between(0.15, 0.8) * torch.exp(0.2 * s.noise(4, 40)) * (1 - s.between(0.0, 0.6) * ((top - 0.6).abs() < 0.08))
        s.lin = s.lin * (1 - end) + metal * s.light * end
        hidden = torch.maximum(a, end) > 0.3
        s.blobs, s.vias, s.mask, s.trace = (m * ~hidden for m in (s.blobs, s.vias, s.mask, s.trace))


def segment(s, x0, y0, x1, y1):
    """Distance in px of each place from the segment (ends n x 1 x 1 x 1 px): n x 1 x s x s."""
    yy, xx = px_of(s)
    dx, dy = x1 - x0, y1 - y0
    along = (((xx - x0) * dx + (yy - y0) * dy) / (dx * dx + dy * dy + 1e-6)).clamp(0, 1)
    return torch.sqrt((xx - x0 - along * dx) ** 2 + (yy - y0 - along * dy) ** 2 + 1e-9)


def add_traces(s, count=8):
    """Traces under solder mask, 3 to 30 px wide with one bend, lighter or darker than the bare mask round them, label 0; most photos
    show traces too faint or too wide to be found as such."""
    turn, slope = 3.1416 / 4, s.between(0, 3.1416)
    around, board = bare_mask(s), on_board(s)
    for k in range(count):
        width = torch.exp(s.between(1.1, 3.4))
        angle = slope + turn * torch.floor(s.between(0, 8))
        bend = angle + turn * torch.floor(s.between(-1, 2))
        x0, y0 = (s.between(0, 1) * s.size for _ in range(2))
        first, second = (s.size * torch.exp(s.between(-2.5, 0.0)) for _ in range(2))
        x1, y1 = x0 + first * torch.cos(angle), y0 + first * torch.sin(angle)
        x2, y2 = x1 + second * torch.cos(bend), y1 + second * torch.sin(bend)
        d = torch.minimum(segment(s, x0, y0, x1, y1), segment(s, x1, y1, x2, y2))
        a = torch.sigmoid((width / 2 - d) / s.between(0.3, 0.9)) * board * s.draw(0.6)
        gain = torch.where(s.draw(0.75) > 0, s.between(1.1, 2.2), s.between(0.5, 0.9))
        s.lin = s.lin * (1 - a) + around * gain * a
        s.trace = torch.maximum(s.trace, (a > 0.5).float())
        s.blobs = s.blobs * ~(a > 0.5)


def add_vias(s, count=12):
    """Plated holes 3 to 16 px in radius, under solder mask, tinned or coppery, open or filled, label 0; photos show most too faint to be found as metal."""
    around, board = bare_mask(s), on_board(s) * (s.blobs == 0)
    yy, xx = px_of(s)
    usual, drilled, soft = torch.exp(s.between(1.1, 2.7)), s.between(0.3, 0.65), s.between(0.4, 1.1)
    kind, is_open = s.between(0, 1), s.draw(0.6)
    tinned = s.between(0.25, 0.8) * torch.exp(0.15 * s.noise(2, 8, 2)) * s.light
    coppery = s.colours(COPPER) * s.light
    coat = around * torch.where(s.draw(0.8) > 0, s.between(1.1, 1.9), s.between(0.5, 0.9))
    ring = torch.where(kind < 0.6, coat, torch.where(kind < 0.9, tinned, coppery))
    for k in range(count):
        radius = usual * s.between(0.85, 1.15)
        d = torch.sqrt((xx - s.between(0, 1) * s.size) ** 2 + (yy - s.between(0, 1) * s.size) ** 2 + 1e-9)
        a = torch.sigmoid((radius - d) / soft) * board * s.draw(0.7)
        hole = torch.sigmoid((drilled * radius - d) / soft) * is_open * a
        s.lin = s.lin * (1 - a) + ring * a
        s.lin = s.lin * (1 - hole) + 0.15 * around * hole
        s.vias = torch.where(a > 0.5, torch.full_like(s.vias, k + 1), s.vias)


def add_harmless(s):
    """Look-alikes, label 0: glare, amber flux round joints, pale glue, tinted metal."""
    f = s.noise(60, 250, 2)
    glare = torch.sigmoid((f - s.between(1.4, 2.6)) / s.between(0.1, 0.5)) * s.draw(0.25) * s.between(0.2, 1.5)
    structure = 0.4 + 0.6 * s.mask * torch.sigmoid(2 * s.noise(3, 15))
    s.lin = s.lin + glare * structure * s.light
    flux = blur((s.blobs > 0).float(), random.uniform(2, 6)) * torch.sigmoid(3 * (s.noise(15, 60) - s.between(-0.5, 1.5))) * s.draw(0.2)
    amber = torch.cat((s.between(0.75, 0.95), s.between(0.5, 0.8), s.between(0.15, 0.5)), 1)
    s.lin = s.lin * amber ** (flux.clamp(0, 1) * s.between(0.3, 1.5))
    g = s.noise(40, 120, 2)
    glue = torch.sigmoid((g - s.between(1.3, 2.2)) / 0.06) * s.draw(0.15) * s.between(0.1, 0.6)
    shine = torch.exp(-(((s.noise(20, 60, 2) - 1.2) / 0.15) ** 2)) * 0.5
    s.lin = s.lin * (1 - glue) + (s.colours(GLUE) + shine) * s.light * glue
    dust = torch.sigmoid(2 * s.noise(2, 6, 2)) * torch.sigmoid(s.noise(80, 250, 2)) * s.draw(0.25) * s.between(0.03, 0.2)
    s.lin = s.lin * (1 - dust) + s.between(0.3, 0.7) * s.light * dust
    gold = torch.cat((s.between(0.9, 1.1), s.between(0.7, 1.0), s.between(0.35, 0.9)), 1)
    metal = (s.blobs > 0).float() * s.draw(0.3)
    s.lin = s.lin * (1 - metal) + s.lin * gold * metal


def add_board_habits(s):
    """Whole-board looks that are normal for a board, label 0: coppery traces under clear coat, all joints dull, open vias with a dark or orange rim."""
    wide = blur(F.max_pool2d(s.trace, 3, 1, 1), 0.7) * s.draw(0.14) * s.between(0.4, 1.0)
    rgb = s.colours(COPPER) * torch.exp(0.1 * s.noise(4, 30))
    s.lin = s.lin * (1 - wide) + rgb * s.light * wide
    metal = blur((s.blobs > 0).float(), 0.7)
    dull = metal * s.draw(0.08) * s.between(0.5, 1.0)
    matt = s.between(0.1, 0.45) * torch.exp(0.2 * s.noise(2, 8, 2)) + s.between(0.0, 0.3) * (s.lin / s.light.clamp(min=0.03)).clamp(0, 1)
    s.lin = s.lin * (1 - dull) + matt * s.light * dull
    rim = (blur(metal, 2.0) - metal).clamp(min=0) * 3 * s.draw(0.15) * s.between(0.3, 1.0)
    s.lin = s.lin * (1 - rim.clamp(0, 1)) + s.colours(COPPER) * s.between(0.2, 1.0) * s.light * rim.clamp(0, 1)


def add_residues(s):
    """One leak: films first, then copper, joints, rust and salts on top; from a share of the boards films and salts were washed off."""
    dry = (s.lin, s.label)
    add_film(s)
    washed = s.draw(WASHED) > 0
    s.lin, s.label = torch.where(washed, dry[0], s.lin), torch.where(washed, dry[1], s.label)
    if random.random() < 0.5:
        order = (add_white_salt, add_copper_salt)
    else:
        order = (add_copper_salt, add_white_salt)
    add_eaten_copper(s)
    add_attacked_joint(s)
    dry = (s.lin, s.label)
    add_rust(s)
    for add in order:
        add(s)
    s.lin, s.label = torch.where(washed, dry[0], s.lin), torch.where(washed, dry[1], s.label)
