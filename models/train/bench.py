"""Reads the photo bench: photos, truth, repositories, licences; splits it by repository owner. Reads rendered boards as well.

Expects clean/, damaged/, truth/, manifest.csv and outlines.json in one folder; photos may be of any format that cv2 reads.
Rendered boards are a folder as the program rendered_boards writes it: photos/, truth/, board/.
"""
import csv
import glob
import json
import os
from dataclasses import dataclass

import cv2
import numpy as np

from materials import material_maps

WORKING_LONG_SIDE = 1600  # px: what the network sees at run time, and what is kept in memory
PERMISSIVE = ("MIT", "BSD", "Unlicense", "WTFPL", "CC-BY-4.0", "CC-BY-2.0")
MOST_ENLARGED = 3.0       # a small photo is enlarged at most this much
DAMAGE_FOLDS = {"NixMcRetro": 0, "jbilander": 1, "kanpapa": 2, "bkw777": 2}
# Clean owners are dealt to the folds so that each holds about a third of the photos; unknown owners go by a hash of the name.
CLEAN_FOLDS = {"tebl": 1, "skiselev": 2, "svenpetersen1965": 0, "UzixLS": 0, "jfoucher": 2, "jwestfall69": 0, "MouseBiteLabs": 1, "rosco-m68k": 1}


def working_scale(height, width):
    """Working px per photo px for a photo of height x width px."""
    return min(MOST_ENLARGED, WORKING_LONG_SIDE / max(height, width))


@dataclass
class Photo:
    name: str
    owner: str
    licence: str
    bgr: np.ndarray      # h x w x 3 uint8
    truth: np.ndarray    # h x w uint8, 255 not scored
    material: np.ndarray  # h x w uint8
    blobs: np.ndarray    # h x w uint8
    inside: np.ndarray   # h x w uint8: 1 on the board, 0 off it, 2 not known
    full_size: tuple     # (h, w) of the photo as filed

    def is_damaged(self):
        return bool(((self.truth > 0) & (self.truth < 255)).any())

    def is_permissive(self):
        return self.licence.startswith(PERMISSIVE) or "CC-BY-2.0-UK" in self.licence

    def fold(self):
        if self.owner in DAMAGE_FOLDS:
            return DAMAGE_FOLDS[self.owner]
        return CLEAN_FOLDS.get(self.owner, sum(map(ord, self.owner)) % 3)


def board_of(outlines, name, shape, full_size):
    """(boolean h x w: inside the outline when one is filed, else the frame less a tenth on each side; whether it is filed)."""
    h, w = shape
    board = np.zeros((h, w), np.uint8)
    poly = next((v["outline"] for k, v in outlines.items() if k.startswith(name + ".")), None)
    if poly is None:
        board[h // 10:h - h // 10, w // 10:w - w // 10] = 1
    else:
        cv2.fillPoly(board, [np.round(np.float64(poly) * (w / full_size[1])).astype(np.int32)], 1)
    return board > 0, poly is not None


def photo_of(name, owner, licence, bgr, truth, outlines):
    """Picture and truth (which has the size of the photo as filed) -> Photo at most WORKING_LONG_SIDE px long."""
    full = truth.shape
    s = min(1.0, WORKING_LONG_SIDE / max(full))
    size = (round(full[1] * s), round(full[0] * s))
    if bgr.shape[:2] != (size[1], size[0]):
        bgr = cv2.resize(bgr, size, interpolation=cv2.INTER_AREA)
    truth = cv2.resize(truth, size, interpolation=cv2.INTER_NEAREST)
    cv2.setNumThreads(1)
    board, is_known = board_of(outlines, name, bgr.shape[:2], full)
    material, blobs = material_maps(bgr, board)
    inside = board.astype(np.uint8) if is_known else np.full(board.shape, 2, np.uint8)
    return Photo(name, owner, licence, bgr, truth, material, blobs, inside, full)


def read_photo(job):
    """(folder, manifest row, outlines) -> Photo."""
    folder, row, outlines = job
    name = os.path.splitext(os.path.basename(row["file"]))[0]
    path = glob.glob(os.path.join(folder, os.path.dirname(row["file"]), name + ".*"))[0]
    truth = cv2.imread(os.path.join(folder, "truth", name + ".png"), cv2.IMREAD_GRAYSCALE)
    return photo_of(name, row["repo"].split("/")[0], row["licence"], cv2.imread(path, cv2.IMREAD_COLOR), truth, outlines)


def read_taught(folder):
    """A folder of training data as `verdigrid look --training` writes it -> Photo; what nobody answered is not scored."""
    with open(os.path.join(folder, "training.json")) as fh:
        example = json.load(fh)
    if example.get("format") != "verdigrid-training" or example.get("version") != 1:
        raise SystemExit(f"{folder}/training.json: not training data of version 1")
    bgr, labels = (cv2.imread(os.path.join(folder, example[part]["file"]), how)
                   for part, how in (("photo", cv2.IMREAD_COLOR), ("labels", cv2.IMREAD_GRAYSCALE)))
    return photo_of(example["photo"]["sha256"][:12], "taught", "own", bgr, labels, {})


def jobs_of(folder):
    """One job for read_photo per photo of clean/ and damaged/."""
    with open(os.path.join(folder, "manifest.csv"), newline="") as fh:
        rows = [r for r in csv.DictReader(fh) if r["file"].split("/")[0] in ("clean", "damaged")]
    with open(os.path.join(folder, "outlines.json")) as fh:
        outlines = json.load(fh)
    return [(folder, r, outlines) for r in rows]


def read_rendered(path):
    """photos/NAME.jpg of a folder of rendered boards -> Photo without material maps, which only painting needs."""
    folder, name = os.path.dirname(os.path.dirname(path)), os.path.splitext(os.path.basename(path))[0]
    bgr = cv2.imread(path, cv2.IMREAD_COLOR)
    truth, board = (cv2.imread(os.path.join(folder, part, name + ".png"), cv2.IMREAD_GRAYSCALE) for part in ("truth", "board"))
    none = np.zeros(truth.shape, np.uint8)
    return Photo(name, "rendered", "MIT", bgr, truth, none, none, (board > 0).astype(np.uint8), truth.shape)


def rendered_in(folder):
    """One job for read_rendered per rendered board."""
    return sorted(glob.glob(os.path.join(folder, "photos", "*.jpg")))
