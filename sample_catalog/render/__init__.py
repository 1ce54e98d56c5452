"""A renderer of stereo-microscope pictures of tiny moulded parts, with the truth of what they show."""

from .bench import bench_picture
from .randoms import made_random, scene_random
from .scenes import Made, Scene, make_scene, scene_truth
from .shots import SHOTS

__all__ = ["SHOTS", "Made", "Scene", "bench_picture", "made_random", "make_scene", "scene_random", "scene_truth"]
