"""Surveys photos with the shipped network through cv2.dnn, as the program does.

  predict.py MODEL.json PHOTOS_FOLDER... OUT [--setting normal] [--maps FILE.npz] [--onnx FILE]

Writes OUT/<name>.png, label ids at the photo's size. MODEL.json names the network and holds every number used here.
"""
import argparse
import glob
import json
import os

import cv2
import numpy as np

from halves import widened


def network(path):
    """The cv2 network of an ONNX file, its weights widened from half precision."""
    with open(path, "rb") as fh:
        return cv2.dnn.readNetFromONNX(np.frombuffer(widened(fh.read()), np.uint8))


def working_picture(bgr, model):
    """BGR 8-bit photo -> (1 x 3 x H x W float32 rgb 0..1, (h, w) before padding); H and W multiples of model["multiple"]."""
    h, w = bgr.shape[:2]
    s = min(model["most_enlarged"], model["working_long_side_px"] / max(h, w))
    size = (max(2, round(w * s)), max(2, round(h * s)))
    small = bgr if s == 1 else cv2.resize(bgr, size, interpolation=cv2.INTER_AREA if s < 1 else cv2.INTER_LINEAR)
    m = model["multiple"]
    padded = cv2.copyMakeBorder(small, 0, -size[1] % m, 0, -size[0] % m, cv2.BORDER_REFLECT_101)
    return cv2.dnn.blobFromImage(padded, 1 / 255.0, swapRB=True), (size[1], size[0])


def class_probabilities(net, bgr, model):
    """7 x h x w float32 at half the working size, summing to 1."""
    x, (h, w) = working_picture(bgr, model)
    net.setInput(x)
    return net.forward()[0, :, :(h + 1) // 2, :(w + 1) // 2]


def above_photo_level(residue, level):
    """P(any residue), h x w, less what the whole photo shows: the quantile of its log odds above -slack is taken off everywhere."""
    odds = log_odds(residue)
    taken = max(0.0, float(np.quantile(odds[::4, ::4], level["quantile"])) + level["slack"])
    return 1 / (1 + np.exp(taken - odds))


def is_too_large(votes, area, size, model):
    """Boolean per region: almost of one class and larger than a deposit of that class gets."""
    out = np.zeros(area.shape, bool)
    for rule in model.get("largest", ()):
        share = votes[model["classes"].index(rule["class"]) - 1] / (votes.sum(0) + 1e-9)
        out |= (share > rule["purity"]) & (area > rule["most_share"] * size)
    return out


def log_odds(p):
    q = np.clip(p, 0.002, 0.998)
    return np.log(q / (1 - q))


def likeliest_residues(prob, model):
    """h x w uint8: the class each pixel would get if it were flagged, from blurred probabilities times the factor of the class."""
    choice = model.get("class_choice", {"blur_px": 0, "factors": {}})
    soft = [cv2.GaussianBlur(p, (0, 0), choice["blur_px"], borderType=cv2.BORDER_REFLECT_101) if choice["blur_px"] > 0 else p for p in prob[1:]]
    return np.argmax([p * choice["factors"].get(c, 1.0) for p, c in zip(soft, model["classes"][1:])], 0).astype(np.uint8) + 1


def findings(prob, model, setting, board=None):
    """Class probabilities -> (label map h x w uint8, list of (class, raw score, area)) at half the working size.

    `board`: boolean h x w, nothing outside it is flagged; None where no outline is known.
    """
    rule = model["settings"][setting]
    residue = 1 - prob[0]
    if "photo_level" in model:
        residue = above_photo_level(residue, model["photo_level"])
    if board is not None:
        residue = residue * board
    n, ids, stats, _ = cv2.connectedComponentsWithStats((residue >= rule["low"]).astype(np.uint8), connectivity=8)
    area = stats[:, cv2.CC_STAT_AREA].astype(np.float64)
    flat = ids.ravel()
    peak = np.zeros(n)
    np.maximum.at(peak, flat, residue.ravel())
    votes = np.stack([np.bincount(flat, p.ravel(), n) for p in prob[1:]])
    number = votes.argmax(0) + 1
    fits = ~is_too_large(votes, area, residue.size, model)
    fits[0] = False
    keep = fits & (peak >= rule["high"]) & (area >= rule["least_area"])
    if not (fits & (peak >= rule.get("seed", 0)) & (area >= rule.get("seed_area", 0))).any():
        keep[:] = False
    mean = np.bincount(flat, residue.ravel(), n) / area
    flagged = keep[ids]
    if model.get("span", 0) > 0:
        flagged &= log_odds(residue) >= (log_odds(peak) - model["span"])[ids]
    labels = np.where(flagged, likeliest_residues(prob, model), 0).astype(np.uint8)
    return labels, [(int(number[i]), float(mean[i]), int(area[i])) for i in np.flatnonzero(keep)]


def main():
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("model")
    ap.add_argument("folders", nargs="+")
    ap.add_argument("out")
    ap.add_argument("--setting", default="normal")
    ap.add_argument("--onnx")
    ap.add_argument("--maps")
    ap.add_argument("--names", help="comma separated, without extension")
    a = ap.parse_args()
    with open(a.model) as fh:
        model = json.load(fh)
    net = network(a.onnx or os.path.join(os.path.dirname(os.path.abspath(a.model)), model["network"]))
    os.makedirs(a.out, exist_ok=True)
    maps = {}
    for path in sorted(f for d in a.folders for f in glob.glob(os.path.join(d, "*.*"))):
        name = os.path.splitext(os.path.basename(path))[0]
        if a.names and name not in a.names.split(","):
            continue
        bgr = cv2.imread(path, cv2.IMREAD_COLOR)
        if bgr is None:
            continue
        prob = class_probabilities(net, bgr, model)
        labels, _ = findings(prob, model, a.setting)
        cv2.imwrite(os.path.join(a.out, name + ".png"), cv2.resize(labels, bgr.shape[1::-1], interpolation=cv2.INTER_NEAREST))
        if a.maps:
            maps[name] = np.round(prob[1:] * 255).astype(np.uint8)
    if a.maps:
        np.savez_compressed(a.maps, **maps)


if __name__ == "__main__":
    main()
