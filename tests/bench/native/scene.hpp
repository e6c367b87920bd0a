// The scene that the peers are given, and what they answer; written and read by ../native-peers.ts.
// Little-endian: four uint32 (triangles, points, poses, bodies), then float64: nine a triangle, three a
// point, six a pose (tool point, unit axis), four a body (0 sphere or 1 cylinder, radius, lower and upper
// height on the axis; a sphere's centre stands in both). mm. The answer is float64 only.
#pragma once
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <vector>

struct Scene {
  uint32_t triangles, points, poses, bodies;
  std::vector<double> corners, point, pose, body;
};

inline std::vector<double> readNumbers(FILE* file, size_t count) {
  std::vector<double> numbers(count);
  if (fread(numbers.data(), sizeof(double), count, file) != count) {
    fprintf(stderr, "the scene's file ends too early\n");
    exit(1);
  }
  return numbers;
}

inline Scene readScene(const char* path) {
  FILE* file = fopen(path, "rb");
  uint32_t head[4];
  if (!file || fread(head, sizeof(uint32_t), 4, file) != 4) {
    fprintf(stderr, "the scene cannot be read: %s\n", path);
    exit(1);
  }
  Scene scene{head[0], head[1], head[2], head[3], {}, {}, {}, {}};
  scene.corners = readNumbers(file, size_t(9) * scene.triangles);
  scene.point = readNumbers(file, size_t(3) * scene.points);
  scene.pose = readNumbers(file, size_t(6) * scene.poses);
  scene.body = readNumbers(file, size_t(4) * scene.bodies);
  fclose(file);
  return scene;
}

/** Processor time of this process, seconds: on a busy machine it says more than the clock on the wall. */
inline double now() {
  timespec time;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
  return double(time.tv_sec) + 1e-9 * double(time.tv_nsec);
}

inline double secondsSince(double start) { return now() - start; }

/** Writes the answer: seconds of building, seconds of asking, then the distances, mm. */
inline void writeAnswer(const char* path, double built, double asked, const std::vector<double>& distances) {
  FILE* file = fopen(path, "wb");
  const double head[2] = {built, asked};
  if (!file || fwrite(head, sizeof(double), 2, file) != 2 || fwrite(distances.data(), sizeof(double), distances.size(), file) != distances.size() || fclose(file) != 0) {
    fprintf(stderr, "the answer cannot be written: %s\n", path);
    exit(1);
  }
}

/** Twice the area of a triangle, squared. */
inline double squareOfArea(const double* c) {
  const double u[3] = {c[3] - c[0], c[4] - c[1], c[5] - c[2]}, w[3] = {c[6] - c[0], c[7] - c[1], c[8] - c[2]};
  const double x = u[1] * w[2] - u[2] * w[1], y = u[2] * w[0] - u[0] * w[2], z = u[0] * w[1] - u[1] * w[0];
  return x * x + y * y + z * z;
}
