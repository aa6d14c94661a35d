// Writes a HEIC that is turned by its own boxes and has a box for its coding parameters, which
// heif-enc leaves out. A program of its own, so that the tests load no HEIC library.
//
//   photo_heic_maker WIDTH HEIGHT ORIENTATION RGB-FILE HEIC-FILE
#include <libheif/heif.h>

#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <string>
#include <vector>

namespace {

void need(const heif_error& result) {
  if (result.code == heif_error_Ok) return;
  std::fprintf(stderr, "%s\n", result.message);
  std::exit(1);
}

std::vector<unsigned char> file_bytes(const char* path, size_t count) {
  std::vector<unsigned char> bytes(count);
  std::FILE* file = std::fopen(path, "rb");
  if (!file || std::fread(bytes.data(), 1, count, file) != count) std::exit(1);
  std::fclose(file);
  return bytes;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 6) return 2;
  const int width = std::atoi(argv[1]), height = std::atoi(argv[2]);
  const auto row_bytes = static_cast<size_t>(3 * width);
  const auto rgb = file_bytes(argv[4], row_bytes * static_cast<size_t>(height));
  heif_image* image = nullptr;
  need(heif_image_create(width, height, heif_colorspace_RGB, heif_chroma_interleaved_RGB, &image));
  need(heif_image_add_plane(image, heif_channel_interleaved, width, height, 8));
  int stride = 0;
  unsigned char* plane = heif_image_get_plane(image, heif_channel_interleaved, &stride);
  for (int y = 0; y < height; ++y)
    std::memcpy(plane + static_cast<size_t>(y) * static_cast<size_t>(stride),
                rgb.data() + static_cast<size_t>(y) * row_bytes, row_bytes);
  heif_color_profile_nclx* coding = heif_nclx_color_profile_alloc();
  need(heif_nclx_color_profile_set_matrix_coefficients(coding, 6));
  coding->full_range_flag = 1;
  heif_context* context = heif_context_alloc();
  heif_encoder* encoder = nullptr;
  need(heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder));
  need(heif_encoder_set_lossy_quality(encoder, 100));
  need(heif_encoder_set_parameter_string(encoder, "chroma", "444"));
  heif_encoding_options* options = heif_encoding_options_alloc();
  options->output_nclx_profile = coding;
  options->macOS_compatibility_workaround_no_nclx_profile = 0;
  options->image_orientation = static_cast<heif_orientation>(std::atoi(argv[3]));
  heif_image_handle* handle = nullptr;
  need(heif_context_encode_image(context, image, encoder, options, &handle));
  need(heif_context_write_to_file(context, argv[5]));
  heif_image_handle_release(handle);
  heif_encoding_options_free(options);
  heif_encoder_release(encoder);
  heif_context_free(context);
  heif_nclx_color_profile_free(coding);
  heif_image_release(image);
  return 0;
}
