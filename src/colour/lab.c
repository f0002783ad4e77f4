#include "colour/lab.h"

#include <math.h>

const colour_xyz colour_white_d65 = { 0.9504559270516717, 1, 1.0890577507598784 };
const colour_xyz colour_white_d50 = { 0.9642956764295676, 1, 0.8251046025104602 };

/* Solved in fractions from the chromaticities of IEC 61966-2-1, then rounded once;
 * tests/colour derives them again. */
static const double xyz_from_rgb[3][3] = {
    { 0.4123907992659595, 0.35758433938387796, 0.1804807884018343 },
    { 0.21263900587151036, 0.7151686787677559, 0.07219231536073371 },
    { 0.01933081871559185, 0.11919477979462599, 0.9505321522496606 },
};
static const double rgb_from_xyz[3][3] = {
    { 3.2409699419045213, -1.5373831775700935, -0.4986107602930033 },
    { -0.9692436362808798, 1.8759675015077206, 0.04155505740717561 },
    { 0.05563007969699361, -0.20397695888897657, 1.0569715142428786 },
};
/* Bradford's cone responses scaled from one white to the other. */
static const double d50_from_d65[3][3] = {
    { 1.0479297925449966, 0.022946870601609527, -0.050192266289205194 },
    { 0.029627808770055674, 0.99043442675388, -0.01707379906341879 },
    { -0.009243040646204521, 0.015055191490298164, 0.751874281428137 },
};
static const double d65_from_d50[3][3] = {
    { 0.9554734214880752, -0.023098454948764523, 0.06325924320057066 },
    { -0.028369709333863583, 1.0099953980813041, 0.021041441191917306 },
    { 0.012314014864481996, -0.02050764929889898, 1.330365926242124 },
};

static const double epsilon = 216.0 / 24389;
static const double kappa = 24389.0 / 27;

static colour_xyz times(const double m[static 3][3], double x, double y, double z)
{
    return (colour_xyz){ m[0][0] * x + m[0][1] * y + m[0][2] * z,
                         m[1][0] * x + m[1][1] * y + m[1][2] * z,
                         m[2][0] * x + m[2][1] * y + m[2][2] * z };
}

double colour_srgb_decode(double encoded)
{
    double x = fabs(encoded);
    double y = x <= 0.04045 ? x / 12.92 : pow((x + 0.055) / 1.055, 2.4);
    return copysign(y, encoded);
}

double colour_srgb_encode(double linear)
{
    double x = fabs(linear);
    double y = x <= 0.0031308 ? 12.92 * x : 1.055 * pow(x, 1 / 2.4) - 0.055;
    return copysign(y, linear);
}

colour_linear colour_linear_from_srgb8(colour_srgb8 srgb)
{
    return (colour_linear){ colour_srgb_decode(srgb.r / 255.0),
                            colour_srgb_decode(srgb.g / 255.0),
                            colour_srgb_decode(srgb.b / 255.0) };
}

static uint8_t byte_of(double linear)
{
    double x = colour_srgb_encode(linear) * 255;
    return x <= 0 ? 0 : x >= 255 ? 255 : (uint8_t)(x + 0.5);
}

colour_srgb8 colour_srgb8_from_linear(colour_linear linear)
{
    return (colour_srgb8){ byte_of(linear.r), byte_of(linear.g), byte_of(linear.b) };
}

static double cube_of(double t)
{
    return t > epsilon ? cbrt(t) : (kappa * t + 16) / 116;
}

static double cube_inverse(double f)
{
    double t = f * f * f;
    return t > epsilon ? t : (116 * f - 16) / kappa;
}

colour_lab colour_lab_from_xyz(colour_xyz xyz, colour_xyz white)
{
    double fx = cube_of(xyz.x / white.x);
    double fy = cube_of(xyz.y / white.y);
    double fz = cube_of(xyz.z / white.z);
    return (colour_lab){ 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz) };
}

colour_xyz colour_xyz_from_lab(colour_lab lab, colour_xyz white)
{
    double fy = (lab.l + 16) / 116;
    return (colour_xyz){ white.x * cube_inverse(fy + lab.a / 500),
                         white.y * cube_inverse(fy),
                         white.z * cube_inverse(fy - lab.b / 200) };
}

colour_lab colour_lab_from_linear(colour_linear linear)
{
    return colour_lab_from_xyz(times(xyz_from_rgb, linear.r, linear.g, linear.b),
                               colour_white_d65);
}

colour_linear colour_linear_from_lab(colour_lab lab)
{
    colour_xyz xyz = colour_xyz_from_lab(lab, colour_white_d65);
    colour_xyz rgb = times(rgb_from_xyz, xyz.x, xyz.y, xyz.z);
    return (colour_linear){ rgb.x, rgb.y, rgb.z };
}

colour_lab colour_lab_from_srgb8(colour_srgb8 srgb)
{
    return colour_lab_from_linear(colour_linear_from_srgb8(srgb));
}

colour_srgb8 colour_srgb8_from_lab(colour_lab lab)
{
    return colour_srgb8_from_linear(colour_linear_from_lab(lab));
}

colour_lab colour_lab_d50_from_d65(colour_lab d65)
{
    colour_xyz xyz = colour_xyz_from_lab(d65, colour_white_d65);
    return colour_lab_from_xyz(times(d50_from_d65, xyz.x, xyz.y, xyz.z),
                               colour_white_d50);
}

colour_lab colour_lab_d65_from_d50(colour_lab d50)
{
    colour_xyz xyz = colour_xyz_from_lab(d50, colour_white_d50);
    return colour_lab_from_xyz(times(d65_from_d50, xyz.x, xyz.y, xyz.z),
                               colour_white_d65);
}

double colour_delta_e76(const colour_lab *a, const colour_lab *b)
{
    double l = a->l - b->l, u = a->a - b->a, v = a->b - b->b;
    return sqrt(l * l + u * u + v * v);
}

double colour_chroma(const colour_lab *lab)
{
    return hypot(lab->a, lab->b);
}

double colour_hue_deg(const colour_lab *lab)
{
    double hue = atan2(lab->b, lab->a) * (180 / M_PI);
    return hue < 0 ? hue + 360 : hue;
}

double colour_luminance(colour_srgb8 srgb)
{
    /* WCAG rounds the luminance of the primaries to four places, and its limits are
     * judged with them. */
    colour_linear linear = colour_linear_from_srgb8(srgb);
    return 0.2126 * linear.r + 0.7152 * linear.g + 0.0722 * linear.b;
}

double colour_contrast(colour_srgb8 a, colour_srgb8 b)
{
    double one = colour_luminance(a) + 0.05, other = colour_luminance(b) + 0.05;
    return one > other ? one / other : other / one;
}

void colour_tables_init(colour_tables *tables)
{
    for (int i = 0; i < 256; i++)
        tables->linear[i] = (float)colour_srgb_decode(i / 255.0);
    for (int i = 0; i < 4096 + 2; i++)
        tables->cube[i] = (float)cube_of(i / 4096.0);
}

static inline float cube_near(const float cube[static 4096 + 2], float t)
{
    float x = t * 4096;
    int i = (int)x;
    return cube[i] + (x - (float)i) * (cube[i + 1] - cube[i]);
}

/* The rows of the matrix with the white divided out, so that white gives 1. */
static void white_relative(float m[static 3][3])
{
    for (int j = 0; j < 3; j++) {
        m[0][j] = (float)(xyz_from_rgb[0][j] / colour_white_d65.x);
        m[1][j] = (float)xyz_from_rgb[1][j];
        m[2][j] = (float)(xyz_from_rgb[2][j] / colour_white_d65.z);
    }
}

/* Rounding may carry a white a hair above 1, which the table's last entry is for. */
static inline void lab_near(const float cube[static 4096 + 2], float m[static 3][3],
                            const float c[static 3], float lab[static 3])
{
    float fx = cube_near(cube, m[0][0] * c[0] + m[0][1] * c[1] + m[0][2] * c[2]);
    float fy = cube_near(cube, m[1][0] * c[0] + m[1][1] * c[1] + m[1][2] * c[2]);
    float fz = cube_near(cube, m[2][0] * c[0] + m[2][1] * c[1] + m[2][2] * c[2]);
    lab[0] = 116 * fy - 16;
    lab[1] = 500 * (fx - fy);
    lab[2] = 200 * (fy - fz);
}

void colour_lab_picture(const colour_tables *tables, size_t count,
                        const float gain[static 3], const uint8_t *rgb, float *lab)
{
    float m[3][3];
    white_relative(m);
    for (size_t i = 0; i < count; i++) {
        float c[3];
        for (int j = 0; j < 3; j++)
            c[j] = fminf(tables->linear[rgb[3 * i + j]] * gain[j], 1);
        lab_near(tables->cube, m, c, &lab[3 * i]);
    }
}

/* Two instructions, where fminf() and fmaxf() are calls. */
static inline float to_unit(float x)
{
    x = x < 1 ? x : 1;
    return x > 0 ? x : 0;
}

void colour_lab_linear_picture(const colour_tables *tables, size_t count,
                               const float *rgb, float *lab)
{
    float m[3][3];
    white_relative(m);
    for (size_t i = 0; i < count; i++) {
        float c[3];
        for (int j = 0; j < 3; j++)
            c[j] = to_unit(rgb[3 * i + j]);
        lab_near(tables->cube, m, c, &lab[3 * i]);
    }
}
