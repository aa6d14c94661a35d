"""Random crops of stored photos on the training device, and the batches made of them."""
import math
import random
from dataclasses import dataclass

import torch
import torch.nn.functional as F

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
    maps: torch.Tensor     # 3 x h x w uint8: truth, material, blobs
    damage: torch.Tensor   # k x 2 (x, y) px of damaged places, empty when none
    weights: torch.Tensor  # rows x cols: how often each mining cell is drawn

    @property
    def width(self):
        return self.levels[0].shape[2]

    @property
    def height(self):
        return self.levels[0].shape[1]

    def working_scale(self):
        return working_scale(self.height, self.width)


def stored(photo, device):
    """Photo -> Stored."""
    img = torch.from_numpy(photo.bgr[..., ::-1].copy()).permute(2, 0, 1).to(device)
    half = F.avg_pool2d(img[None].float(), 2)[0].round().to(torch.uint8)
    maps = torch.stack([torch.from_numpy(m) for m in (photo.truth, photo.material, photo.blobs)]).to(device)
    ys, xs = torch.where((maps[0] > 0) & (maps[0] < 255))
    if len(xs):
        classes = maps[0][ys, xs].long()
        count = torch.bincount(classes, minlength=7).float()
        pick = torch.multinomial(1 / count[classes], 4000, replacement=True)
        xs, ys = xs[pick], ys[pick]
    s = working_scale(*img.shape[1:])
    rows, cols = math.ceil(img.shape[1] * s / MINING_CELL), math.ceil(img.shape[2] * s / MINING_CELL)
    return Stored(photo.name, [img, half], maps, torch.stack((xs, ys), 1).float(), torch.full((rows, cols), 0.05, device=device))


def crop(src, centre, scale, size):
    """size x size crop about `centre` (x, y px) at `scale` crop px per photo px, turned and mirrored at random -> (3 x s x s 0..1, 3 x s x s long)."""
    dev = src.maps.device
    ang = random.choice((0, 90, 180, 270)) + random.uniform(-25, 25) * (random.random() < 0.6)
    c, s = math.cos(math.radians(ang)) / scale, math.sin(math.radians(ang)) / scale
    flip = random.choice((-1, 1))
    t = torch.arange(size, device=dev).float() - (size - 1) / 2
    oy, ox = torch.meshgrid(t, t * flip, indexing="ij")
    x, y = centre[0] + c * ox - s * oy, centre[1] + s * ox + c * oy
    out = []
    level = 1 if scale < 0.62 else 0
    for data, k, mode in ((src.levels[level], 2 ** level, "bilinear"), (src.maps, 1, "nearest")):
        h, w = data.shape[1:]
        x0, x1 = int(max(0, min(w - 8, x.min() / k - 4))), int(min(w, max(8, x.max() / k + 4)))
        y0, y1 = int(max(0, min(h - 8, y.min() / k - 4))), int(min(h, max(8, y.max() / k + 4)))
        part = data[None, :, y0:y1, x0:x1].float()
        gx, gy = ((x + 0.5) / k - x0) / (x1 - x0) * 2 - 1, ((y + 0.5) / k - y0) / (y1 - y0) * 2 - 1
        out.append(F.grid_sample(part, torch.stack((gx, gy), -1)[None], mode=mode, padding_mode="reflection" if mode == "bilinear" else "zeros", align_corners=False)[0])
    inside = (x > -0.5) & (y > -0.5) & (x < src.width - 0.5) & (y < src.height - 0.5)
    maps = out[1].round().long()
    maps[0] = torch.where(inside, maps[0], torch.full_like(maps[0], 255))
    return (out[0] / 255).clamp(0, 1), maps


def drawn_scale(src, lo, hi):
    return src.working_scale() * math.exp(random.uniform(math.log(lo), math.log(hi)))


def clean_crop(src, size, mined):
    """A crop anywhere, or about a cell that fools the network when `mined` is drawn."""
    if random.random() < mined:
        i = int(torch.multinomial(src.weights.flatten(), 1))
        cy, cx = divmod(i, src.weights.shape[1])
        s = src.working_scale()
        centre = ((cx + random.random()) * MINING_CELL / s, (cy + random.random()) * MINING_CELL / s)
    else:
        centre = (random.uniform(0.05, 0.95) * src.width, random.uniform(0.05, 0.95) * src.height)
    return crop(src, centre, drawn_scale(src, 0.55, 2.2), size)


def damaged_crop(src, size):
    """A crop about a damaged place (mostly), classes drawn evenly."""
    p = src.damage[random.randrange(len(src.damage))].tolist()
    if random.random() < 0.15:
        p = [random.uniform(0.05, 0.95) * src.width, random.uniform(0.05, 0.95) * src.height]
    j = size * 0.35
    scale = drawn_scale(src, 0.6, 1.9)
    return crop(src, (p[0] + random.uniform(-j, j) / scale, p[1] + random.uniform(-j, j) / scale), scale, size)


def scene_of(img, maps):
    """Stacked crops -> Scene with light and event."""
    lin = camera.as_linear(img)
    truth, material, blobs = maps[:, :1], maps[:, 1:2], maps[:, 2:]
    on = (material > 0).float()
    event = residues.event_of(len(img), img.shape[-1], img.device)
    return residues.Scene(lin, truth.clone(), on, (material == 2).float(), blobs, residues.light_of(lin), event)


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


def batch(clean, damaged, plan, size, mined):
    """plan: {painted, grafted, plain, real: counts} -> (n x 3 x s x s sRGB 0..1, n x s x s labels)."""
    lins, labels = [], []
    if plan["painted"]:
        s = scene_of(*joined([clean_crop(random.choice(clean), size, 0.3) for _ in range(plan["painted"])]))
        recolour(s, 0.4, 180)
        residues.add_parts(s, 2)
        residues.add_harmless(s)
        residues.add_residues(s)
        lins.append(s.lin)
        labels.append(s.label)
    if plan["grafted"]:
        s = scene_of(*joined([clean_crop(random.choice(clean), size, 0.3) for _ in range(plan["grafted"])]))
        recolour(s, 0.4, 180)
        residues.add_parts(s, 2)
        transplant(s, *joined([damaged_crop(random.choice(damaged), size) for _ in range(plan["grafted"])]))
        lins.append(s.lin)
        labels.append(s.label)
    if plan["plain"]:
        s = scene_of(*joined([clean_crop(random.choice(clean), size, mined) for _ in range(plan["plain"])]))
        recolour(s, 0.25, 180)
        if random.random() < 0.4:
            residues.add_parts(s, 3)
            residues.add_harmless(s)
        lins.append(s.lin)
        labels.append(s.label)
    if plan["real"]:
        s = scene_of(*joined([damaged_crop(random.choice(damaged), size) for _ in range(plan["real"])]))
        recolour(s, 0.5, 12)
        lins.append(s.lin)
        labels.append(s.label)
    return camera.photographed(torch.cat(lins)), torch.cat(labels)[:, 0]
