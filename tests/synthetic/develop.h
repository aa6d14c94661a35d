// From the light on the sensor to the file: blur, noise, tone curve, sharpening, JPEG. Internal.
#pragma once

#include "base/files.h"
#include "synthetic/camera.h"

namespace verdigrid::synthetic {

// Gaussian blur of CV_32FC3, edges repeated; sigma_px 0: unchanged.
cv::Mat blurred(const cv::Mat& image, double sigma_px);

// Sigma of the blur at a photo px.
double defocus_at(const CameraSpec& camera, cv::Point2d p_px);

// `light` CV_32FC3 linear BGR, 1 = white -> CV_8UC3 sRGB.
cv::Mat developed(const cv::Mat& light, const CameraSpec& camera);

// The bytes of a JPEG file of our own making as CV_8UC3 BGR; damaged bytes end the program.
cv::Mat jpeg_decoded(const Bytes& bytes);

// Through a JPEG file and back.
cv::Mat jpeg_round_trip(const cv::Mat& bgr, int quality);

}  // namespace verdigrid::synthetic
