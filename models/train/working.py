"""The working picture: the photo as the network sees it."""
import torch.nn.functional as F

from bench import working_scale


def working_input(image, scale):
    """3 x h x w uint8 rgb -> (1 x 3 x H x W float 0..1 padded to multiples of 32 by reflection, (h, w) before padding)."""
    h, w = image.shape[1:]
    s = working_scale(h, w) * scale
    size = (max(2, round(h * s)), max(2, round(w * s)))
    x = F.interpolate(image[None].float() / 255, size=size, mode="bilinear", align_corners=False, antialias=True)
    pad = [-size[1] % 32, -size[0] % 32]
    return F.pad(x, (0, pad[0], 0, pad[1]), mode="reflect"), size
