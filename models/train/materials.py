"""Rough material maps of a clean board photo: where the solder mask, the traces and the bare metal blobs are.

They only say where a painted residue may sit, so they may be wrong in places. All thresholds are common practice, no source: chosen by eye.
"""
import cv2
import numpy as np

OTHER, SOLDER_MASK, TRACE = 0, 1, 2


def mode_lab(lab, where):
    """Most frequent Lab colour (float, L 0..100) of the pixels of h x w x 3 `lab` where `where` holds."""
    p = lab[where]
    bins = ((p[:, 0] // 8).astype(int) * 64 + ((p[:, 1] + 128) // 8).astype(int)) * 64 + ((p[:, 2] + 128) // 8).astype(int)
    best = np.bincount(bins).argmax()
    return p[bins == best].mean(0)


def blob_ids(lab, board, mode):
    """Compact bright or coppery blobs (pads, joints, pin tips): h x w uint8, 0 none, else a number 1..255 shared by one blob."""
    light = cv2.GaussianBlur(lab[..., 0], (0, 0), 1.0)
    around = cv2.GaussianBlur(lab[..., 0], (0, 0), 14.0)
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    far = np.hypot(lab[..., 1] - mode[1], lab[..., 2] - mode[2]) > 7
    metal = board & (light > around + 5) & (chroma < 30) & (far | (light > mode[0] + 18))
    metal = cv2.morphologyEx(metal.astype(np.uint8), cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    n, lab_id, st, _ = cv2.connectedComponentsWithStats(metal, connectivity=4)
    w, h, a = st[:, cv2.CC_STAT_WIDTH], st[:, cv2.CC_STAT_HEIGHT], st[:, cv2.CC_STAT_AREA]
    keep = (a >= 14) & (a <= 2600) & (a > 0.55 * w * h) & (np.maximum(w, h) < 2.6 * np.minimum(w, h))
    keep[0] = False
    number = np.where(keep, 1 + (np.arange(n) * 97) % 255, 0).astype(np.uint8)
    return number[lab_id]


def ridges(light, near, fine, coarse, least, width, length):
    """Boolean h x w: long places of `near` lighter by `least` than what lies round them: traces of at least `width` px, planes in parts."""
    lit = near & (cv2.GaussianBlur(light, (0, 0), fine) - cv2.GaussianBlur(light, (0, 0), coarse) > least)
    lit = cv2.morphologyEx(lit.astype(np.uint8), cv2.MORPH_OPEN, np.ones((width, width), np.uint8))
    _, ids, st, _ = cv2.connectedComponentsWithStats(lit, connectivity=8)
    longer = np.maximum(st[:, cv2.CC_STAT_WIDTH], st[:, cv2.CC_STAT_HEIGHT]) > length
    longer[0] = False
    return longer[ids]


def material_maps(bgr, board):
    """BGR 8-bit h x w x 3 photo and boolean h x w board -> (uint8 h x w of OTHER / SOLDER_MASK / TRACE, uint8 h x w blob ids)."""
    lab = cv2.cvtColor(bgr.astype(np.float32) / 255, cv2.COLOR_BGR2Lab)
    mode = mode_lab(lab[::4, ::4], board[::4, ::4])
    soft = cv2.GaussianBlur(lab, (0, 0), 1.0)
    d = soft - mode
    near = board & (np.sqrt(0.4 * d[..., 0] ** 2 + d[..., 1] ** 2 + d[..., 2] ** 2) < 17)
    trace = ridges(lab[..., 0], near, 1.2, 7.0, 1.6, 2, 22) | ridges(lab[..., 0], near, 2.0, 22.0, 2.0, 7, 40)
    out = np.where(trace, TRACE, np.where(near, SOLDER_MASK, OTHER)).astype(np.uint8)
    return out, blob_ids(lab, board, mode)
