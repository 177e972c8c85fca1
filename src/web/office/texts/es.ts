import type { OfficeTexts } from '../say.ts';

export const texts: OfficeTexts = {
  skip: 'Ir a la página',
  menu: 'Menú',
  season: 'Temporada',
  sites: 'Sitios',
  designs: 'Diseños',
  materials: 'Materiales',
  reports: 'Informes',
  field: 'Campo',
  language: 'Idioma',
  light: 'Claridad',
  'light-system': 'Como el aparato',
  'light-light': 'Claro',
  'light-dark': 'Oscuro',
  'sign-in': 'Entrar',
  'sign-out': 'Salir',
  email: 'Correo electrónico',
  password: 'Contraseña',
  organisation: 'Organización',
  'choose-organisation': 'Pertenece a varias organizaciones. Elija una.',
  'wrong-credentials': 'El correo o la contraseña no es correcto.',
  'what-it-is':
    'Planificar, abastecer, construir, comprobar y rendir cuentas de una temporada de tanques comunitarios de agua de lluvia, con cada número calculado por un solo motor de diseño.',
  'standing-caution':
    'Estas páginas muestran comprobaciones según fórmulas publicadas. No conocen su suelo ni su ejecución. Un ingeniero habilitado aprueba los diseños; solo la autoridad sanitaria puede decir que el agua es apta para beber.',
  'no-page': 'No hay ninguna página en esta dirección.',
  'to-start': 'A la primera página',
  'no-pages':
    'Sus papeles aún no tienen páginas aquí. Pregunte a un administrador de su organización.',
  reference: 'Referencia de la interfaz',
  about: 'Acerca de este servicio',
};
