"""Records what the shipped network answers to a picture made by formula, for the program's own test.

  record.py MODEL.json OUT.json

Picture: 150 rows x 210 columns, 8-bit; channel c (0 blue, 1 green, 2 red) of row y, column x is
(37 c + 3 x + 5 y + x y (c + 1) / 16) modulo 256, divisions rounded down.
"""
import hashlib
import json
import os
import sys

import numpy as np

from predict import class_probabilities, network

ROWS, COLUMNS = 150, 210


def formula_picture():
    """150 x 210 x 3 uint8, BGR."""
    y, x, c = np.meshgrid(np.arange(ROWS), np.arange(COLUMNS), np.arange(3), indexing="ij")
    return ((37 * c + 3 * x + 5 * y + x * y * (c + 1) // 16) % 256).astype(np.uint8)


def main():
    with open(sys.argv[1]) as fh:
        model = json.load(fh)
    path = os.path.join(os.path.dirname(os.path.abspath(sys.argv[1])), model["network"])
    prob = class_probabilities(network(path), formula_picture(), model)
    points = [(r, c) for r in range(5, prob.shape[1], 43) for c in range(7, prob.shape[2], 61)]
    record = {
        "model_id": model["model_id"],
        "network_sha256": hashlib.sha256(open(path, "rb").read()).hexdigest(),
        "size": [prob.shape[2], prob.shape[1]],
        "mean": [round(float(p.mean()), 6) for p in prob],
        "points": [{"row": r, "column": c, "shares": [round(float(v), 6) for v in prob[:, r, c]]} for r, c in points],
    }
    with open(sys.argv[2], "w") as fh:
        json.dump(record, fh, indent=1)
        fh.write("\n")


if __name__ == "__main__":
    main()
