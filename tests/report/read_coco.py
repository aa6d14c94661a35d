"""A second reader of the program's COCO file, which shares nothing with it but the published format.

  read_coco.py FILE FINDINGS.png

FINDINGS.png: grey picture of finding ids. Fails unless every field is there with its type (field list of the COCO data format for
object detection, from memory), and every annotation, drawn here by the even-odd rule at pixel centres, is exactly its finding's pixels.
"""
import json
import sys

import cv2
import numpy as np


def inside(ring, width, height):
    """Pixels whose centre lies inside a ring of points measured from the picture's corner."""
    x, y = np.arange(width) + 0.5, np.arange(height) + 0.5
    odd = np.zeros((height, width), bool)
    points = np.asarray(ring, float).reshape(-1, 2)
    for (ax, ay), (bx, by) in zip(points, np.roll(points, -1, 0)):
        if ay == by:
            continue
        crosses = (y >= min(ay, by)) & (y < max(ay, by))
        at = ax + (y - ay) * (bx - ax) / (by - ay)
        odd ^= crosses[:, None] & (x[None, :] > at[:, None])
    return odd


def mask_of(segmentation, width, height):
    if isinstance(segmentation, dict):
        assert segmentation["size"] == [height, width]
        assert sum(segmentation["counts"]) == width * height
        values = np.arange(len(segmentation["counts"])) % 2
        return np.repeat(values, segmentation["counts"]).reshape(width, height).T.astype(bool)
    mask = np.zeros((height, width), bool)
    for ring in segmentation:
        assert len(ring) >= 6 and len(ring) % 2 == 0
        mask |= inside(ring, width, height)
    return mask


coco = json.load(open(sys.argv[1], encoding="utf-8"))
truth = cv2.imread(sys.argv[2], cv2.IMREAD_UNCHANGED)
assert set(coco) >= {"info", "licenses", "images", "annotations", "categories"}
image, = coco["images"]
assert {"id": int, "width": int, "height": int, "file_name": str}.items() <= {k: type(v) for k, v in image.items()}.items()
names = {c["id"]: c["name"] for c in coco["categories"]}
assert len(names) == len(coco["categories"]) and all(isinstance(c["supercategory"], str) for c in coco["categories"])
ids = [a["id"] for a in coco["annotations"]]
assert sorted(ids) == sorted(set(ids)) == [i for i in np.unique(truth) if i]
for a in coco["annotations"]:
    assert a["image_id"] == image["id"] and a["category_id"] in names and a["iscrowd"] in (0, 1)
    mask = mask_of(a["segmentation"], image["width"], image["height"])
    assert np.array_equal(mask, truth == a["id"]), f"annotation {a['id']} covers other pixels"
    assert a["area"] == mask.sum()
    rows, columns = np.where(mask)
    assert a["bbox"] == [columns.min(), rows.min(), np.ptp(columns) + 1, np.ptp(rows) + 1]
print(len(ids), "annotations read")
