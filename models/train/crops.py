"""Random crops of stored photos on the training device, and the batches made of them."""
import functools
import math
import random
from dataclasses import dataclass

import numpy as np
import torch
import torch.nn.functional as F

import backgrounds
import camera
import residues
from bench import working_scale
from noise import blur, uniform

MINING_CELL = 64  # px of the working picture


@dataclass
class Stored:
    """One photo on the device: image levels 3 x h x w uint8 (full, half), maps 1 x h x w uint8."""
    name: str
    levels: list
    maps: torch.Tensor     # 4 x h x w uint8: truth, material, blobs, inside
    damage: list           # (x, y) px of damaged places, classes evenly, empty when none
    metal: list            # (x, y) px of pads, joints and pins, empty when none
    weights: np.ndarray    # rows x cols: how often each mining cell is drawn

    is_loose: bool = False  # no outline filed

    @property
    def width(self):
        return self.levels[0].shape[2]

    @property
    def height(self):
        return self.levels[0].shape[1]

    def working_scale(self):
        return working_scale(self.height, self.width)


def damaged_places(truth):
    """About 2000 (x, y) px of damage, as many of each class that is there; empty when there is none."""
    by_class = [np.flatnonzero(truth == c) for c in range(1, 7)]
    by_class = [at for at in by_class if len(at)]
    draw = np.random.default_rng(sum(map(len, by_class)))
    picked = [at[draw.integers(0, len(at), 2000 // len(by_class))] for at in by_class]
    return [(int(k % truth.shape[1]), int(k // truth.shape[1])) for at in picked for k in at]


def metal_places(photo):
    """About 1000 (x, y) px of blobs, on the board where it is known; empty when there are none."""
    at = np.flatnonzero((photo.blobs > 0) & (photo.inside > 0))
    if not len(at):
        return []
    at = at[np.random.default_rng(len(at)).integers(0, len(at), 1000)]
    return [(int(k % photo.blobs.shape[1]), int(k // photo.blobs.shape[1])) for k in at]


def stored(photo, device):
    """Photo -> Stored."""
    img = torch.from_numpy(photo.bgr[..., ::-1].copy()).permute(2, 0, 1).to(device)
    half = F.avg_pool2d(img[None].float(), 2)[0].round().to(torch.uint8)
    maps = torch.stack([torch.from_numpy(m) for m in (photo.truth, photo.material, photo.blobs, photo.inside)]).to(device)
    damage = damaged_places(photo.truth)
    s = working_scale(*img.shape[1:])
    rows, cols = math.ceil(img.shape[1] * s / MINING_CELL), math.ceil(img.shape[2] * s / MINING_CELL)
    return Stored(photo.name, [img, half], maps, damage, metal_places(photo), np.full((rows, cols), 0.05), bool((photo.inside == 2).any()))


@functools.lru_cache(maxsize=4)
def offsets(size, device):
    t = torch.arange(size, device=device).float() - (size - 1) / 2
    return torch.meshgrid(t, t, indexing="ij")


def reach(lo, hi, most):
    """Whole-pixel range lo..hi kept inside 0..most and at least 8 px long."""
    a = int(max(0, min(most - 8, lo)))
    return a, int(min(most, max(a + 8, hi)))


def crop(src, centre, scale, size):
    """size x size crop about `centre` (x, y px) at `scale` crop px per photo px, turned and mirrored at random -> (3 x s x s 0..1, 4 x s x s long)."""
    ang = random.choice((0, 90, 180, 270)) + random.uniform(-25, 25) * (random.random() < 0.6)
    c, s = math.cos(math.radians(ang)) / scale, math.sin(math.radians(ang)) / scale
    flip = random.choice((-1, 1))
    oy, ox = offsets(size, src.maps.device)
    x, y = centre[0] + (c * flip) * ox - s * oy, centre[1] + (s * flip) * ox + c * oy
    half = (abs(c) + abs(s)) * size / 2 + 4
    out = []
    for data, k, mode, pad in ((src.levels[scale < 0.62], 2 if scale < 0.62 else 1, "bilinear", "reflection"), (src.maps, 1, "nearest", "zeros")):
        h, w = data.shape[1:]
        x0, x1 = reach((centre[0] - half) / k, (centre[0] + half) / k, w)
        y0, y1 = reach((centre[1] - half) / k, (centre[1] + half) / k, h)
        grid = torch.stack((((x + 0.5) / k - x0) / (x1 - x0) * 2 - 1, ((y + 0.5) / k - y0) / (y1 - y0) * 2 - 1), -1)[None]
        out.append(F.grid_sample(data[None, :, y0:y1, x0:x1].float(), grid, mode=mode, padding_mode=pad, align_corners=False)[0])
    inside = (x > -0.5) & (y > -0.5) & (x < src.width - 0.5) & (y < src.height - 0.5)
    maps = out[1].round().long()
    maps[0].masked_fill_(~inside, 255)
    return (out[0] / 255).clamp(0, 1), maps


def drawn_scale(src, lo, hi):
    return src.working_scale() * math.exp(random.uniform(math.log(lo), math.log(hi)))


def clean_crop(src, size, mined):
    """A crop anywhere, or about a cell that fools the network when `mined` is drawn."""
    if random.random() < mined:
        i = random.choices(range(src.weights.size), src.weights.ravel())[0]
        cy, cx = divmod(i, src.weights.shape[1])
        s = src.working_scale()
        centre = ((cx + random.random()) * MINING_CELL / s, (cy + random.random()) * MINING_CELL / s)
    else:
        centre = (random.uniform(0.05, 0.95) * src.width, random.uniform(0.05, 0.95) * src.height)
    return crop(src, centre, drawn_scale(src, 0.4, 3.0), size)


def board_crop(photos, size):
    """A crop of a clean photo near its pads, joints and pins, which is where leaks run; photos whose outline is known come oftener."""
    with_metal = [p for p in photos if p.metal]
    known = [p for p in with_metal if not p.is_loose]
    src = random.choice(known if known and random.random() < 0.6 else with_metal)
    x, y = random.choice(src.metal)
    scale = drawn_scale(src, 0.4, 3.0)
    j = size * 0.3 / scale
    return crop(src, (x + random.uniform(-j, j), y + random.uniform(-j, j)), scale, size)


def damaged_crop(src, size):
    """A crop about a damaged place (mostly), classes drawn evenly."""
    p = random.choice(src.damage)
    if random.random() < 0.15:
        p = [random.uniform(0.05, 0.95) * src.width, random.uniform(0.05, 0.95) * src.height]
    j = size * 0.35
    scale = drawn_scale(src, 0.4, 1.9)
    return crop(src, (p[0] + random.uniform(-j, j) / scale, p[1] + random.uniform(-j, j) / scale), scale, size)


def rendered_crop(src, size):
    """A crop of a rendered board: about a damaged place mostly, where it has any."""
    if src.damage and random.random() < 0.7:
        return damaged_crop(src, size)
    centre = (random.uniform(0.05, 0.95) * src.width, random.uniform(0.05, 0.95) * src.height)
    return crop(src, centre, drawn_scale(src, 0.4, 1.9), size)


def scene_of(img, maps):
    """Stacked crops -> Scene with light and event."""
    lin = camera.as_linear(img)
    truth, material, blobs, inside = maps.split(1, 1)
    on = (material > 0).float()
    event = residues.event_of(on + 4 * (blobs > 0))
    s = residues.Scene(lin, truth.clone(), on, (material == 2).float(), blobs, residues.light_of(lin), event, torch.zeros_like(blobs))
    off = blur((inside == 0).float(), 0.7) * s.draw(0.5)
    s.lin = s.lin * (1 - off) + backgrounds.ground(s.n, s.size, s.device) * s.light.mean((2, 3), keepdim=True) * off
    s.event = s.event * (1 - off)
    return s


def recolour(scene, share, most):
    """Turns the colours of a share of the crops by up to `most` degrees, so that no solder mask colour is special."""
    deg = uniform(scene.n, -most, most, scene.device) * scene.draw(share)
    scene.lin = camera.hue_turned(scene.lin, deg)


def transplant(scene, donor_img, donor_maps):
    """Lays the drawn damage of donor crops on the scene under the scene's own light."""
    lin = camera.as_linear(donor_img)
    truth = donor_maps[:, :1]
    hit = ((truth > 0) & (truth < 255)).float()
    alpha = blur(F.max_pool2d(hit, 3, 1, 1), 1.0)
    albedo = lin / residues.light_of(lin) * uniform(scene.n, 0.75, 1.25, scene.device)
    albedo = camera.hue_turned(albedo, uniform(scene.n, -14, 14, scene.device))
    scene.lin = scene.lin * (1 - alpha) + albedo * scene.light * alpha
    grey = (alpha > 0.1) & (scene.label == 0)
    lab = torch.where(grey, torch.full_like(scene.label, 255), scene.label)
    scene.label = torch.where(hit > 0, truth, lab)


def joined(pairs):
    return torch.stack([p[0] for p in pairs]), torch.stack([p[1] for p in pairs])


@torch.no_grad()
def scenes(clean, damaged, rendered, plan, size, mined):
    """plan: {painted, grafted, board_grafted, plain, real, rendered: counts} -> (n x 3 x s x s linear rgb, n x s x s labels)."""
    out = []
    spoilt = [b for b in rendered if b.damage]
    if plan["painted"]:
        s = scene_of(*joined([board_crop(clean, size) for _ in range(plan["painted"])]))
        recolour(s, 0.4, 180)
        residues.add_traces(s)
        residues.add_vias(s)
        residues.add_parts(s, 2)
        residues.add_board_habits(s)
        residues.add_harmless(s)
        residues.add_residues(s)
        out.append(s)
    if plan["grafted"]:
        s = scene_of(*joined([board_crop(clean, size) for _ in range(plan["grafted"])]))
        recolour(s, 0.4, 180)
        residues.add_board_habits(s)
        residues.add_parts(s, 2)
        transplant(s, *joined([damaged_crop(random.choice(damaged), size) for _ in range(plan["grafted"])]))
        out.append(s)
    if plan["board_grafted"] and spoilt:
        s = scene_of(*joined([board_crop(clean, size) for _ in range(plan["board_grafted"])]))
        recolour(s, 0.4, 180)
        residues.add_board_habits(s)
        residues.add_parts(s, 2)
        img, maps = joined([damaged_crop(random.choice(spoilt), size) for _ in range(s.n)])
        label, is_decoy = s.label[-1:].clone(), random.random() < 0.3
        if is_decoy:  # a piece of another clean photo in the shape of a deposit is no residue
            img[-1] = clean_crop(random.choice(clean), size, 0.1)[0]
        transplant(s, img, maps)
        if is_decoy:
            s.label[-1:] = label
        out.append(s)
    if plan["plain"]:
        s = scene_of(*joined([clean_crop(random.choice(clean), size, mined) for _ in range(plan["plain"])]))
        recolour(s, 0.25, 180)
        if random.random() < 0.4:
            residues.add_traces(s)
            residues.add_vias(s)
            residues.add_board_habits(s)
            residues.add_parts(s, 3)
            residues.add_harmless(s)
        if random.random() < 0.5:
            s.lin[-1:] = backgrounds.ground(1, size, s.device)
            s.label[-1:] = 0
        out.append(s)
    if plan["real"]:
        s = scene_of(*joined([damaged_crop(random.choice(damaged), size) for _ in range(plan["real"])]))
        recolour(s, 0.5, 12)
        out.append(s)
    if plan["rendered"]:
        s = scene_of(*joined([rendered_crop(random.choice(rendered), size) for _ in range(plan["rendered"])]))
        recolour(s, 0.3, 12)
        out.append(s)
    return torch.cat([s.lin for s in out]), torch.cat([s.label for s in out])[:, 0]


class Pool:
    """A ring of painted scenes; each is photographed anew whenever it is drawn, so that painting costs little per step.

    A painter may add scenes on another stream while windows are drawn: now and then a window shows two scenes, which is harmless.
    """

    def __init__(self, count, size, device):
        self.lin = torch.zeros(count, 3, size, size, dtype=torch.float16, device=device)
        self.label = torch.zeros(count, size, size, dtype=torch.uint8, device=device)
        self.count = torch.zeros(1, device=device)  # of scenes filled, on the device, so that a recorded step sees it grow
        self.filled, self.next = 0, 0

    def add(self, lin, label):
        where = [(self.next + i) % len(self.lin) for i in range(len(lin))]
        lin, label = lin.clamp(0, 8).half(), label.to(torch.uint8)
        for i, k in enumerate(where):  # one by one: a list as index would wait for the device
            self.lin[k].copy_(lin[i])
            self.label[k].copy_(label[i])
        self.next = (self.next + len(lin)) % len(self.lin)
        self.filled = min(len(self.lin), self.filled + len(lin))
        self.count.fill_(float(self.filled))

    @torch.no_grad()
    def batch(self, n, size):
        """n x 3 x size x size sRGB 0..1 and n x size x size labels: random windows, mirrored, turned and photographed.

        Every choice is drawn on the device, so that a step can be recorded once and played again.
        """
        d, room = self.lin.device, self.lin.shape[2] - size + 1
        draw = lambda most: (torch.rand(n, device=d) * most).long()
        i = torch.minimum((torch.rand(n, device=d) * self.count).long(), (self.count - 1).long())
        t = torch.arange(size, device=d)
        rows, cols = (draw(room)[:, None] + torch.where((draw(2) > 0)[:, None], t, t.flip(0)) for _ in range(2))
        lin = self.lin[i[:, None, None], :, rows[:, :, None], cols[:, None]].float()  # n x s x s x 3
        label = self.label[i[:, None, None], rows[:, :, None], cols[:, None]]
        is_turned = (draw(2) > 0)[:, None, None]
        label = torch.where(is_turned, label.transpose(1, 2), label)
        lin = torch.where(is_turned[..., None], lin.transpose(1, 2), lin).permute(0, 3, 1, 2).contiguous()
        return camera.photographed(lin), label.long()
