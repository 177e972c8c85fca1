import type { PartTexts } from '../say.ts';

export const texts: PartTexts = {
  loading: 'Cargando…',
  retry: 'Intentar de nuevo',
  close: 'Cerrar',
  cancel: 'Cancelar',
  caution: 'Precaución',
  problem: 'Problema',
  unreachable: 'El servicio no responde. Compruebe la red e inténtelo de nuevo.',
  'no-right': 'No puede ver esto',
  'no-right-detail': 'Un administrador de su organización puede darle un papel que lo permita.',
  'not-found': 'No se encuentra',
  'not-found-detail': 'No existe tal registro, o pertenece a otra organización.',
  'request-id': 'Petición {id}',
  'wrong-field': '{field}: {message}',
  'status-planned': 'Prevista',
  'status-started': 'Comenzada',
  'status-on-hold': 'Detenida',
  'status-complete': 'Terminada',
  'status-handed-over': 'Entregada',
  'status-cancelled': 'Cancelada',
  'tank-label': '{code}: {status}, {percent} terminada',
};
