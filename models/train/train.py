"""Trains the residue network from the photo bench folder and from rendered boards.

  train.py BENCH OUT [--rendered FOLDER...] [--taught FOLDER...] [--fold all|0|1|2] [--licences all|permissive]
           [--data all|painted|rendered] [--minutes M] [--seed N] [--network small|borrowed] [--encoder FEATURES.npz]
           [--start WEIGHTS.pt] [--schedule A B] [--plan KIND=COUNT...]

--fold K leaves the repositories of fold K out and predicts them at the end; --fold all trains on everything (the shipped weights).
--licences permissive trains on permissive and CC-BY photos only and predicts the rest. --data painted uses no real damage at all,
--data rendered no photo at all. --rendered names folders that the program rendered_boards wrote, --taught folders that
`verdigrid look --training` wrote, --held folders of rendered boards to predict at the end. --minutes counts from the start, reading
included. --network borrowed takes the encoder whose weights encoder.py read from a network of general photos (--encoder); it learns at
ENCODER_SHARE of the rate. --schedule A B runs the part A..B (0..1) of the falling learning rate, so that one training can be made in several goes.
--plan says how many scenes of a kind are painted at a time, where they are not to be as plan_of has them: --plan rendered=8 painted=3.
Writes OUT/NAME.pt (weights) and OUT/NAME.npz (residue class probabilities of the photos not trained on, 0..255, half working size).
"""
import argparse
import copy
import math
import multiprocessing
import os
import random
import threading
import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import torch
import torch.nn.functional as F

import bench
import crops
from net import CLASSES, NETWORKS, BorrowedNet, read_network
from working import working_input

POSITIVE_WEIGHT = 2.0
DICE_WEIGHT = 0.4
RENDERED = 3  # of sixteen scenes
KINDS = ("painted", "grafted", "board_grafted", "plain", "real", "rendered")  # of scenes
HARD_WEIGHT, HARD_SHARE = 0.01, 0.005  # of the clean pixels, the share that fools the network most counts once more
EMA = 0.998  # of the averaged weights: about 500 steps, a small part of any go
ENCODER_SHARE = 0.3  # of the learning rate, for an encoder that knows general photos
MINE_EVERY = 0.3  # of the training
PAINT_EVERY = 4  # steps, where painting and training take turns
SCENE_USES = 12  # windows drawn of a scene in the mean before another takes its place
STEPS_AHEAD = 4  # recorded steps queued before the program waits for the device
STARTED = time.time()


def arguments():
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("bench")
    ap.add_argument("out")
    ap.add_argument("--name", default="residue")
    ap.add_argument("--rendered", nargs="*", default=[])
    ap.add_argument("--taught", nargs="*", default=[])
    ap.add_argument("--held", nargs="*", default=[])
    ap.add_argument("--fold", default="all")
    ap.add_argument("--licences", choices=("all", "permissive"), default="all")
    ap.add_argument("--data", choices=("all", "painted", "rendered"), default="all")
    ap.add_argument("--minutes", type=float, default=8.0)
    ap.add_argument("--seed", type=int, default=7)
    ap.add_argument("--scene", type=int, default=640, help="px of a painted scene")
    ap.add_argument("--size", type=int, default=448, help="px of a training window")
    ap.add_argument("--batch", type=int, default=32)
    ap.add_argument("--pool", type=int, default=600, help="painted scenes kept")
    ap.add_argument("--schedule", type=float, nargs=2, default=(0.0, 1.0))
    ap.add_argument("--rate", type=float, default=2e-3)
    ap.add_argument("--network", choices=NETWORKS, default="small")
    ap.add_argument("--encoder", help="features of general photos to begin from (network borrowed)")
    ap.add_argument("--start", help="weights to go on from")
    ap.add_argument("--plan", nargs="*", default=[], metavar="KIND=COUNT")
    ap.add_argument("--workers", type=int, default=8)
    ap.add_argument("--limit", type=int, default=0, help="read only every N-th photo (a quick try)")
    a = ap.parse_args()
    if a.encoder and a.network != "borrowed":
        ap.error("--encoder: only the network `borrowed` takes features of general photos; add --network borrowed")
    asked = [kind.partition("=") for kind in a.plan]
    for kind, _, count in asked:
        if kind not in KINDS or not count.isdigit():
            ap.error(f"--plan {kind}: give KIND=COUNT, KIND one of {', '.join(KINDS)}")
    a.plan = {kind: int(count) for kind, _, count in asked}
    return a


def is_trained_on(photo, a):
    return a.data != "rendered" and (a.fold == "all" or photo.fold() != int(a.fold)) and (a.licences == "all" or photo.is_permissive())


def class_weights(lab, ok):
    """7 weights: rare residues of the batch count more, by the root of their share, so that the class is learnt as well as the place."""
    n = torch.stack([((lab == c) & ok).sum() for c in range(len(CLASSES))]).float()  # a bincount would wait for the device
    w = (n[1:].sum() / (len(CLASSES) - 1) / n.clamp(min=1)).sqrt().clamp(0.7, 2.0) * POSITIVE_WEIGHT
    w[0].fill_(1)
    return w


def loss_of(logits, labels):
    """Cross entropy (damage weighs more, rare classes most), the most foolish clean pixels again, and Dice of "any residue".

    labels n x s x s with 255 left out, logits at half size.
    """
    lab = labels[:, ::2, ::2]
    ok = lab != 255
    target = torch.where(ok, lab, torch.zeros_like(lab))
    ce = F.cross_entropy(logits, target, reduction="none")
    w = ok * class_weights(target, ok)[target]
    hit = (target > 0) * ok
    hard = torch.topk((ce * (ok & ~hit)).flatten(), max(1, int(HARD_SHARE * ce.numel())))[0].mean()
    p = (1 - torch.softmax(logits, 1)[:, 0]) * ok
    dice = 1 - (2 * (p * hit).sum() + 1) / (p.sum() + hit.sum() + 1)
    return (w * ce).sum() / ok.sum().clamp(min=1) + HARD_WEIGHT * hard + DICE_WEIGHT * dice


def plan_of(clean, damaged, rendered):
    """Scenes painted at a time; fewer real ones when few damaged photos are there, so that they are not learnt by heart."""
    boards = {"rendered": RENDERED, "board_grafted": 1} if rendered else {"rendered": 0, "board_grafted": 0}
    if not clean:
        return {"painted": 0, "grafted": 0, "board_grafted": 0, "plain": 0, "real": 0, "rendered": 14}
    if not damaged:
        real = {"painted": 8, "grafted": 0, "plain": 5, "real": 0}
    elif len(damaged) < 10:
        real = {"painted": 5, "grafted": 2, "plain": 4, "real": 1}
    else:
        real = {"painted": 4, "grafted": 2, "plain": 4, "real": 2}
    return real | boards


class Step:
    """One step of training on a batch of the pool. On a GPU it is recorded once and played again, so that starting its kernels costs nothing."""

    def __init__(self, a, net, avg, pool, device):
        self.a, self.net, self.pool, self.device = a, net, pool, device
        is_cuda = device.type == "cuda"
        self.rate = torch.tensor(0.0, device=device) if is_cuda else 0.0
        self.encoder_rate = self.rate.clone() if is_cuda else 0.0
        encoder = set(net.stages.parameters()) if isinstance(net, BorrowedNet) else set()
        groups = [{"params": [p for p in net.parameters() if p not in encoder], "lr": self.rate}]
        if encoder:
            groups.append({"params": list(net.stages.parameters()), "lr": self.encoder_rate})
        self.opt = torch.optim.AdamW(groups, weight_decay=0.02, **({"fused": True, "capturable": True} if is_cuda else {}))
        floats = lambda m: [v for v in m.state_dict().values() if v.is_floating_point()]
        self.average, self.now = floats(avg), floats(net)
        self.sum, self.graph = torch.zeros((), device=device), None
        if is_cuda:
            self.record()

    def run(self):
        x, labels = self.pool.batch(self.a.batch, self.a.size)
        with torch.autocast(self.device.type, torch.bfloat16, enabled=self.device.type == "cuda"):
            logits = self.net(x.contiguous(memory_format=torch.channels_last))
        loss = loss_of(logits.float(), labels)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self.net.parameters(), 2.0)
        self.opt.step()
        with torch.no_grad():
            torch._foreach_mul_(self.average, EMA)
            torch._foreach_add_(self.average, self.now, alpha=1 - EMA)
            self.sum += loss.detach()

    def record(self):
        """Steps at rate 0 warm up, then one is recorded; without a recording each step is run as it stands."""
        torch.backends.cudnn.benchmark = True
        side = torch.cuda.Stream()
        side.wait_stream(torch.cuda.current_stream())
        with torch.cuda.stream(side):
            for _ in range(3):
                self.opt.zero_grad(set_to_none=True)
                self.run()
        torch.cuda.current_stream().wait_stream(side)
        self.opt.zero_grad(set_to_none=True)
        torch.cuda.synchronize()
        torch.cuda.empty_cache()  # several trainings may share a card
        try:
            graph = torch.cuda.CUDAGraph()
            with torch.cuda.graph(graph):
                self.run()
            self.graph = graph
        except RuntimeError as e:
            print("steps are not recorded:", e, flush=True)
            torch.cuda.synchronize()
        torch.backends.cudnn.benchmark = False  # photos of many sizes follow

    def go(self, rate):
        if self.device.type == "cuda":
            self.rate.fill_(rate)
            self.encoder_rate.fill_(rate * ENCODER_SHARE)
        else:
            for group, share in zip(self.opt.param_groups, (1.0, ENCODER_SHARE)):
                group["lr"] = rate * share
        if self.graph:
            self.graph.replay()
        else:
            self.opt.zero_grad(set_to_none=True)
            self.run()


def probabilities(net, image, scale):
    """Stored photo image 3 x h x w uint8 -> 7 x h' x w' class probabilities at half the working size x scale."""
    x, (h, w) = working_input(image, scale)
    with torch.no_grad(), torch.autocast(x.device.type, torch.bfloat16, enabled=x.is_cuda):
        y = net(x.contiguous(memory_format=torch.channels_last))
    return torch.softmax(y.float(), 1)[0, :, :h // 2, :w // 2]


def shipped_probabilities(net, image):
    """7 x h' x w': whole and half-size looks averaged, as the exported network does inside."""
    fine, coarse = probabilities(net, image, 1.0), probabilities(net, image, 0.5)
    return 0.5 * (fine + F.interpolate(coarse[None], size=fine.shape[1:], mode="bilinear", align_corners=False)[0])


def mine(net, clean):
    """Sets how often each place of the clean photos is drawn: by how much residue the network sees there."""
    for s in clean:
        any_p = 1 - shipped_probabilities(net, s.levels[0])[0]
        truth = F.interpolate((s.maps[:1] == 255)[None].float(), size=any_p.shape, mode="nearest")[0, 0]
        cell = F.max_pool2d((any_p * (1 - truth))[None, None], crops.MINING_CELL // 2, ceil_mode=True)[0, 0]
        rows, cols = s.weights.shape
        s.weights = F.interpolate(cell[None, None], size=(rows, cols), mode="nearest")[0, 0].clamp(min=0).cpu().numpy() ** 1.5 + 0.01


def drawn_clean(clean):
    """Clean photos repeated by their share of fooling places, at least once each."""
    share = [s.weights.sum() for s in clean]
    top = sorted(share)[-max(1, len(share) // 20)]
    return [s for s, w in zip(clean, share) for _ in range(1 + round(3 * min(1.0, w / max(top, 1e-6))))]


def save(net, path):
    state = {k: v.cpu().contiguous() for k, v in net.state_dict().items()}
    kind = next(name for name, make in NETWORKS.items() if isinstance(net, make))
    torch.save({"state": state, "network": kind, "classes": CLASSES}, path + ".part")
    os.replace(path + ".part", path)


class Painter:
    """Keeps the pool fresh: on a GPU from a thread of its own beside the training, else between the steps."""

    def __init__(self, a, clean, damaged, rendered, pool, device):
        self.a, self.pool, self.device = a, pool, device
        self.photos = [clean, damaged, rendered]
        self.plan, self.mined, self.scenes, self.is_over, self.failure = plan_of(clean, damaged, rendered) | a.plan, 0.0, 0, False, None
        self.most = math.inf  # scenes wanted by now

    def paint(self):
        lin, label = crops.scenes(*self.photos, self.plan, self.a.scene, self.mined)
        self.pool.add(lin, label)
        self.scenes += len(lin)

    def paint_on(self):
        try:
            with torch.cuda.device(self.device), torch.cuda.stream(torch.cuda.Stream()):
                while not self.is_over:
                    if self.scenes >= self.most:
                        time.sleep(0.02)
                        continue
                    self.paint()
                    torch.cuda.current_stream().synchronize()
        except Exception as e:  # told in the training loop
            self.failure = e


def train(a, clean, damaged, rendered, device):
    """Trains until the minutes are up; returns the averaged network. What it has after two thirds is kept in case it is stopped."""
    net = (read_network(a.start) if a.start else NETWORKS[a.network]()).to(device).to(memory_format=torch.channels_last)
    pool = crops.Pool(a.pool, a.scene, device)
    painter = Painter(a, clean, damaged, rendered, pool, device)
    while pool.filled < min(a.pool, 4 * a.batch):
        painter.paint()
    if a.encoder and not a.start:
        net.borrow(a.encoder, [pool.batch(a.batch, a.size)[0] for _ in range(8)])
    avg = copy.deepcopy(net).eval()
    step, steps = Step(a, net, avg, pool, device), 0
    thread = threading.Thread(target=painter.paint_on, daemon=True) if device.type == "cuda" else None
    if thread:
        thread.start()
    start, next_mine, told, told_steps, is_kept = time.time(), 0.01 if a.start else 0.25, 0.0, 0, False
    end = STARTED + 60 * a.minutes
    while (done := (time.time() - start) / max(1.0, end - start)) < 1:
        part = a.schedule[0] + (a.schedule[1] - a.schedule[0]) * done
        step.go(a.rate * min(1, (steps + 1) / 300) * 0.5 * (1 + math.cos(math.pi * part)))
        steps += 1
        painter.most = a.pool + steps * a.batch / SCENE_USES
        if thread and steps % STEPS_AHEAD == 0:
            torch.cuda.current_stream().synchronize()
        elif not thread and steps % PAINT_EVERY == 0:
            painter.paint()
        if painter.failure:
            raise painter.failure
        if done > next_mine and clean:
            mine(avg, clean)
            painter.photos[0], painter.mined, next_mine = drawn_clean(clean), 0.7, next_mine + MINE_EVERY
        if done > told and steps > told_steps:
            print(f"{a.name} {time.time() - start:5.0f} s step {steps} scenes {painter.scenes} loss {float(step.sum) / (steps - told_steps):.4f}", flush=True)
            step.sum.zero_()
            told, told_steps = told + 0.05, steps
        if done > 0.66 and not is_kept:
            save(avg, os.path.join(a.out, a.name + ".pt"))
            is_kept = True
    painter.is_over = True
    if thread:
        thread.join()
    return avg


def save_predictions(net, rest, path):
    """Probabilities of the six classes, uint8 without the faintest, for every photo not trained on."""
    out = {}
    for s in rest:
        q = (shipped_probabilities(net, s.levels[0])[1:] * 255).round()
        out[s.name] = torch.where(q < 3, torch.zeros_like(q), q).clamp(max=255).to(torch.uint8).cpu().numpy()
    np.savez_compressed(path, **out)


def main():
    a = arguments()
    random.seed(a.seed)
    torch.manual_seed(a.seed)
    torch.set_float32_matmul_precision("high")
    jobs = bench.jobs_of(a.bench)[::max(1, a.limit)]
    with multiprocessing.Pool(a.workers) as pool:
        photos = pool.map(bench.read_photo, jobs, chunksize=2)
        taught = pool.map(bench.read_taught, a.taught)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    train_on = [p for p in photos if is_trained_on(p, a)] + taught
    clean = [crops.stored(p, device) for p in train_on if not p.is_damaged()]
    damaged = [crops.stored(p, device) for p in train_on if p.is_damaged()] if a.data == "all" else []
    with ThreadPoolExecutor(a.workers) as pool:
        boards = [f for folder in a.rendered for f in bench.rendered_in(folder)][::max(1, a.limit)]
        rendered = list(pool.map(lambda path: crops.stored(bench.read_rendered(path), device), boards))
    print(f"{a.name}: {len(clean)} clean and {len(damaged)} damaged photos, {len(rendered)} rendered boards to train on, read in {time.time() - STARTED:.0f} s",
          flush=True)
    os.makedirs(a.out, exist_ok=True)
    net = train(a, clean, damaged, rendered, device)
    save(net, os.path.join(a.out, a.name + ".pt"))
    rest = [crops.stored(p, device) for p in photos if not is_trained_on(p, a)]
    rest += [crops.stored(bench.read_rendered(f), device) for folder in a.held for f in bench.rendered_in(folder)]
    if rest:
        save_predictions(net, rest, os.path.join(a.out, a.name + ".npz"))
    print(f"{a.name}: done after {time.time() - STARTED:.0f} s", flush=True)


if __name__ == "__main__":
    multiprocessing.set_start_method("fork")
    main()
