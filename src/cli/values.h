// Values as they are typed on the command line, whatever the locale: the decimal sign is a point.
//
// Each throws Error{wrong_use} with a sentence that names the option and what it wants.
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

namespace verdigrid {

double number_from(const std::string& option, const std::string& text);

// "160x99.1": two positive numbers.
cv::Size2d size_from(const std::string& option, const std::string& text);

// "9x6": two whole numbers above 0.
cv::Size whole_size_from(const std::string& option, const std::string& text);

// "812,40.5".
cv::Point2d point_from(const std::string& option, const std::string& text);
std::vector<cv::Point2d> points_from(const std::string& option,
                                     const std::vector<std::string>& texts);

}  // namespace verdigrid
