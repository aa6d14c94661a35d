"""The working picture: the photo as the network sees it."""
import torch.nn.functional as F

from bench import working_scale


PADDED_TO = 320  # px of the whole look: few sizes among many photos, because a GPU plans its work anew for each size


def working_input(image, scale):
    """3 x h x w uint8 rgb -> (1 x 3 x H x W float 0..1 padded to multiples of PADDED_TO x scale by reflection, (h, w) before padding)."""
    h, w = image.shape[1:]
    s = working_scale(h, w) * scale
    size = (max(2, round(h * s)), max(2, round(w * s)))
    x = F.interpolate(image[None].float() / 255, size=size, mode="bilinear", align_corners=False, antialias=True)
    multiple = max(32, round(PADDED_TO * scale / 32) * 32)
    down, right = -size[0] % multiple, -size[1] % multiple
    mode = "reflect" if down < size[0] and right < size[1] else "replicate"
    return F.pad(x, (0, right, 0, down), mode=mode), size
